import type { ReleaseResult } from '../../analysis/release/release.ts';
import { CHECK_LOG_HEADER, checkLogLine, isIsoTime } from '../../data/check-log.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** Appends a check to the file of `--log`; what the file says against it, or what is odd about it, comes back with its place. */
export function logRelease(
  call: Call,
  loaded: LoadedRecipe,
  result: ReleaseResult,
): { written: boolean; placed: readonly Diagnostic[] } {
  const file = String(call.flags['log']);
  const word = (name: string) => (typeof call.flags[name] === 'string' ? call.flags[name] : '');
  const line = checkLogLine({
    time: timeOf(call),
    recipe: loaded.file,
    digest: loaded.digest,
    syringe: word('syringe'),
    lot: word('lot'),
    operator: word('operator'),
    // What was not measured is not made up from the recipe.
    age: call.flags['age'] === undefined || result.age_min === null ? null : result.age_min * 60,
    temperature:
      call.flags['temperature'] === undefined || result.temperature_C === null ? null : result.temperature_C + 273.15,
    shots: result.shots_per_reading * result.readings.length,
    mean: result.mean_uL * 1e-9,
    low: result.interval_uL[0] * 1e-9,
    high: result.interval_uL[1] * 1e-9,
    decision: result.decision,
    trim: result.trim === null ? null : result.trim.change_s,
    note: word('note'),
  });
  const { otherHeader, openLine } = call.io.appendLog(file, CHECK_LOG_HEADER, line);
  if (otherHeader !== null) {
    const found = otherHeader.length > 60 ? `${otherHeader.slice(0, 57)}...` : otherHeader;
    const message = `the header is "${found}", not that of a check log; nothing was written`;
    return {
      written: false,
      placed: [placed(floorFinding('log-header', null, message), at(file, 1, otherHeader.length))],
    };
  }
  if (openLine === null) return { written: true, placed: [] };
  const message = 'the line was never finished; it was kept, and the check stands below it';
  return { written: true, placed: [placed(floorFinding('log-line-open', null, message), at(file, openLine, 0))] };
}

function at(file: string, line: number, length: number) {
  return { file, line, column: 1, end_line: line, end_column: length + 1 };
}

/** `--time`, or the clock in UTC to the second. Throws: UsageError for another text. */
function timeOf(call: Call): string {
  const given = call.flags['time'];
  if (typeof given !== 'string')
    return call.io
      .now()
      .toISOString()
      .replace(/\.\d+Z$/, 'Z');
  if (isIsoTime(given)) return given;
  throw new UsageError(`--time ${given}: write it as 2026-03-02T06:40:00+01:00`);
}
