import { earlierChecks } from '../../analysis/follow/thickness-course.ts';
import type { ReleaseOptions } from '../../analysis/release/release.ts';
import { readLoggedChecks } from '../../data/logged-releases.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { readDataText } from '../data/read-data.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import type { Call } from '../terminal/command.ts';
import { timeOf, word } from './release-log-entry.ts';

/** Options of a release with what the checks in its log lead to expect, where some are of the same lot or needle. */
export async function withEarlierChecks(
  call: Call,
  loaded: LoadedRecipe,
  options: ReleaseOptions,
): Promise<{ options: ReleaseOptions; placed: readonly Diagnostic[] }> {
  const file = call.flags['log'];
  if (typeof file !== 'string' || call.io.kindOf(file) !== 'file' || loaded.recipe === null)
    return { options, placed: [] };
  const whole = (await readDataText(call.io, file)).text;
  // A last line that was never finished is no check; the log says so itself.
  const text = whole === null ? null : whole.slice(0, whole.lastIndexOf('\n') + 1);
  if (text === null || text.trim() === '') return { options, placed: [] };
  const { rows, saysNeedles, diagnostics } = await readLoggedChecks(text, file, {
    path: pathFromRoot(call.io, call.root)(loaded.file),
    digest: loaded.digest,
  });
  if (rows === null) return { options, placed: unread(file, diagnostics) };
  const [syringe, lot] = [word(call, 'syringe'), word(call, 'lot')];
  const needle = saysNeedles ? word(call, 'needle') : syringe;
  const next = { time: Date.parse(timeOf(call)) / 1000, syringe, lot, needle, options };
  const earlier = earlierChecks(loaded.recipe, rows, next);
  return { options: earlier === null ? options : { ...options, earlier }, placed: [] };
}

/** A log that cannot be read is no reason not to check, and to be said. */
function unread(file: string, found: readonly Diagnostic[]): Diagnostic[] {
  const errors = found.filter(({ severity }) => severity === 'error');
  const [first] = errors;
  if (first === undefined) return [];
  const message = `${counted(errors.length, 'fault')} in the log, the first is: ${first.message}; the checks in it were not counted`;
  const line = first.line ?? 1;
  return [placed(floorFinding('log-unread', null, message), { file, line, column: 1, end_line: line, end_column: 1 })];
}
