import { type CardSyringe, cardSyringe, lastCheckOf } from '../../analysis/card/card-syringe.ts';
import { readLoggedChecks } from '../../data/logged-releases.ts';
import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import { type Diagnostic, type Finding, placed } from '../../diagnostics/finding.ts';
import { mergeRepeated } from '../../diagnostics/repeated.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { readDataText } from './read-data.ts';

/** `--syringe` and `--log` as they were given; null without them. Throws: UsageError for one alone. */
export function syringeWords({ flags }: Call): { name: string; file: string } | null {
  const [name, file] = [flags['syringe'], flags['log']];
  if (name === undefined && file === undefined) return null;
  if (typeof name !== 'string' || name === '') throw new UsageError('--log is of a syringe: name it with --syringe');
  if (typeof file !== 'string') throw new UsageError('--syringe is looked up in a check log: name it with --log');
  return { name, file };
}

/**
 * The syringe of a log that a card is for. Checks that were made with another state of the recipe are no ground for it: what its
 * program was judged by has changed.
 */
export async function loggedSyringe(
  call: Call,
  loaded: LoadedRecipe,
  { name, file }: { name: string; file: string },
): Promise<{ syringe: CardSyringe | null; findings: readonly Finding[]; placed: readonly Diagnostic[] }> {
  const none = { syringe: null, findings: [] };
  const data = await readDataText(call.io, file);
  if (data.text === null) return { ...none, placed: data.diagnostics };
  const path = pathFromRoot(call.io, call.root)(loaded.file);
  const { rows, diagnostics } = await readLoggedChecks(data.text, file, { path, digest: loaded.digest });
  if (rows === null || loaded.recipe === null) return { ...none, placed: mergeRepeated(diagnostics) };
  const last = lastCheckOf(rows, name);
  const at = (line: number) => ({ file, line, column: 1, end_line: line, end_column: 1 });
  if (last !== null && last.digest !== loaded.digest) {
    const message = `syringe ${name} was last checked with another state of ${path}: its digest was ${short(last.digest)}, now it is ${short(loaded.digest)}`;
    return { ...none, placed: [placed(batchFinding('card-syringe', null, message), at(last.line))] };
  }
  const own = rows.filter(({ digest }) => digest === loaded.digest);
  const { result, findings } = cardSyringe(loaded.recipe, own, name);
  if (result !== null) return { syringe: result, findings, placed: [] };
  return { ...none, placed: [...mergeRepeated(diagnostics), ...findings.map(f => placed(f, at(last?.line ?? 1)))] };
}

/** As the card prints it, enough to tell two apart. */
const short = (digest: string) => (digest === '' ? 'not written' : digest.slice(0, 12));
