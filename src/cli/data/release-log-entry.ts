import type { ReleaseResult } from '../../analysis/release/release.ts';
import {
  CHECK_LOG_HEADER,
  type CheckRow,
  checkLogLine,
  ERRORLESS_LOG_HEADER,
  isIsoTime,
  NEEDLELESS_LOG_HEADER,
  OLDER_LOG_HEADER,
  olderLogLine,
} from '../../data/release-log.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { pathFromRoot } from '../recipes/path-from-root.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

/** Without these a check cannot be told from another. */
const NEEDED = ['syringe', 'operator'] as const;

/** Throws: UsageError for a `--log` without what tells a check from another, or with a time that is none. */
export function requireLogWords(call: Call): void {
  if (typeof call.flags['log'] !== 'string') return;
  timeOf(call);
  const missing = NEEDED.filter(name => word(call, name) === '').map(name => `--${name}`);
  if (missing.length === 0 || call.flags['incomplete'] === true) return;
  throw new UsageError(`--log needs ${missing.join(' and ')}; --incomplete writes the line without`);
}

/** Appends a check to the file of `--log`; what the file says against it, or what is odd about it, comes back with its place. */
export function logRelease(
  call: Call,
  loaded: LoadedRecipe,
  result: ReleaseResult,
  read: CheckReadings = { scanned: null, readingError: null },
): { written: boolean; placed: readonly Diagnostic[] } {
  const file = String(call.flags['log']);
  const row = rowOf(call, loaded, result, read);
  let appended = call.io.appendLog(file, CHECK_LOG_HEADER, checkLogLine(row));
  const header = appended.otherHeader ?? '';
  const line = olderLogLine(header, row);
  if (line !== null) appended = call.io.appendLog(file, header, line);
  const { otherHeader, openLine } = appended;
  if (otherHeader !== null) {
    const found = otherHeader.length > 60 ? `${otherHeader.slice(0, 57)}...` : otherHeader;
    const message = `the header is "${found}", not that of a check log; nothing was written`;
    return {
      written: false,
      placed: [placed(floorFinding('log-header', null, message), at(file, 1, otherHeader.length))],
    };
  }
  const said: Diagnostic[] = [];
  const lost = line === null ? null : lostBy(header, row);
  if (lost !== null) {
    const message = `the log has no ${lost}; left out`;
    said.push(placed(floorFinding('log-older', null, message), at(file, 1, header.length)));
  }
  if (openLine !== null) {
    const message = 'the line was never finished; it was kept, and the check stands below it';
    said.push(placed(floorFinding('log-line-open', null, message), at(file, openLine, 0)));
  }
  return { written: true, placed: said };
}

/** What a log of before has no place for; null where nothing is lost. */
function lostBy(header: string, row: CheckRow): string | null {
  if (header === OLDER_LOG_HEADER) return 'columns for readings, setting, thickness and program';
  const lost = [
    ...(header === NEEDLELESS_LOG_HEADER && row.needle !== '' ? ['column for the needle'] : []),
    ...(header === ERRORLESS_LOG_HEADER || row.picture === '' ? [] : ['column for the picture']),
    ...(row.readingError === null ? [] : ['column for the reading error']),
  ];
  return lost.length === 0 ? null : lost.join(' and no ');
}

/** What was read off a picture, as a log keeps it. */
export interface ScannedReadings {
  /** Diameters in one unit, as `--dots` takes them. */
  readonly readings: string;
  readonly sha256: string;
}

/** What a result does not keep of how it was read. */
export interface CheckReadings {
  readonly scanned: ScannedReadings | null;
  /** Of a picture or an option; null for the recipe's [m]. */
  readonly readingError: number | null;
}

function rowOf(
  call: Call,
  loaded: LoadedRecipe,
  result: ReleaseResult,
  { scanned, readingError }: CheckReadings,
): CheckRow {
  const { flags } = call;
  // What was not measured is not made up from the recipe.
  const placedByHand = flags['age'] !== undefined || flags['shot'] !== undefined;
  return {
    time: timeOf(call),
    recipe: pathFromRoot(call.io, call.root)(loaded.file),
    digest: loaded.digest,
    ...{ syringe: word(call, 'syringe'), lot: word(call, 'lot'), operator: word(call, 'operator') },
    age: placedByHand ? result.age_min * 60 : null,
    temperature:
      flags['temperature'] === undefined || result.temperature_C === null ? null : result.temperature_C + 273.15,
    shots: result.shots_per_reading * result.readings.length,
    mean: result.mean_uL * 1e-9,
    low: result.interval_uL[0] * 1e-9,
    high: result.interval_uL[1] * 1e-9,
    decision: result.decision,
    trim: result.trim === null ? null : result.trim.change_s,
    note: word(call, 'note'),
    ...{ shot: result.shot, pressure: result.pressure_kPa * 1e3, dwell: result.dwell_s },
    lotFactor: result.lot_factor,
    kind: flags['masses'] === undefined ? 'dots' : 'masses',
    readings: scanned?.readings ?? (word(call, 'dots') || word(call, 'masses')),
    predicted: result.predicted_uL === null ? null : result.predicted_uL * 1e-9,
    thickness: result.thickness?.estimate ?? null,
    program: programText(result),
    needle: word(call, 'needle'),
    picture: scanned?.sha256 ?? '',
    readingError,
  };
}

/** "0.52 s from 1, add 0.03 s every 7; 0.8 s from 40, add 0.02 s every 5". */
function programText({ program }: ReleaseResult): string {
  const stages = (program?.stages ?? []).map(({ from_shot, first_dwell_s, add_s, every }) => {
    const added = add_s === 0 ? '' : `, add ${add_s} s every ${every}`;
    return `${first_dwell_s} s from ${from_shot}${added}`;
  });
  return stages.join('; ');
}

/** An option that is a text; empty where it is not given. */
export function word({ flags }: Call, name: string): string {
  return typeof flags[name] === 'string' ? flags[name] : '';
}

function at(file: string, line: number, length: number) {
  return { file, line, column: 1, end_line: line, end_column: length + 1 };
}

/** `--time`, or the clock in UTC to the second. Throws: UsageError for another text. */
export function timeOf(call: Call): string {
  const given = call.flags['time'];
  if (typeof given !== 'string')
    return call.io
      .now()
      .toISOString()
      .replace(/\.\d+Z$/, 'Z');
  if (isIsoTime(given)) return given;
  throw new UsageError(`--time ${given}: write it as 2026-03-02T06:40:00+01:00`);
}
