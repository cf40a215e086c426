import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, placed } from '../diagnostics/finding.ts';
import { type ColumnSpec, readColumns } from './columns/columns.ts';
import { dataTaken } from './columns/data-taken.ts';
import { columnNamed, findColumn } from './columns/find-column.ts';
import { readCsv } from './csv/csv.ts';
import { csvLine } from './csv/write-csv.ts';
import type { DataReading } from './trial-data.ts';

/** One line of the check log: where a syringe was checked, what was read, what it was found to deliver, and what was decided. */
export interface CheckRow {
  readonly time: string; // ISO 8601
  readonly recipe: string;
  readonly digest: string;
  readonly syringe: string;
  readonly lot: string;
  readonly operator: string;
  readonly age: number | null; // [s]
  readonly temperature: number | null; // [K]
  /** Of all readings together. */
  readonly shots: number | null;
  readonly mean: number; // [m³]
  readonly low: number | null; // [m³]
  readonly high: number | null; // [m³]
  readonly decision: string;
  readonly trim: number | null; // [s]
  readonly note: string;
  /** Of the program, at which the check stands. */
  readonly shot: number | null;
  /** As set for the check [Pa], [s]. */
  readonly pressure: number | null;
  readonly dwell: number | null;
  readonly lotFactor: number | null;
  /** `dots` or `masses`. */
  readonly kind: string;
  /** As typed, with their units. */
  readonly readings: string;
  readonly predicted: number | null; // [m³]
  readonly thickness: number | null;
  /** As run after the check. */
  readonly program: string;
  readonly needle: string;
  /** SHA-256 of the picture that the dots were read off. */
  readonly picture: string;
  /** What a diameter may be misread by, where a picture or an option told it; else the recipe's [m]. */
  readonly readingError: number | null;
}

/** Header of a log of the first kind, before it said what was read and set. */
export const OLDER_LOG_HEADER =
  'time,recipe,digest,syringe,lot,operator,age [min],temperature [degC],shots,mean [uL],low [uL],high [uL],decision,trim [s],note';

/** Header of a log that says what was read and set, but not by which needle. */
export const NEEDLELESS_LOG_HEADER = `${OLDER_LOG_HEADER},shot,pressure [kPa],dwell [s],lot_factor,kind,readings,predicted [uL],thickness,program`;

/** Header of a log that does not say off which picture its dots were read. */
export const PICTURELESS_LOG_HEADER = `${NEEDLELESS_LOG_HEADER},needle`;

/** Header of a log that takes every dot as misread as the recipe says. */
export const ERRORLESS_LOG_HEADER = `${PICTURELESS_LOG_HEADER},picture`;

/** Header of the check log. */
export const CHECK_LOG_HEADER = `${ERRORLESS_LOG_HEADER},reading_error [mm]`;

/** A check as one line of the log, without its end, in the units of `CHECK_LOG_HEADER`. */
export function checkLogLine(row: CheckRow): string {
  return csvLine([...firstCells(row), ...laterCells(row), row.needle, row.picture, shown(row.readingError, 1e3)]);
}

/** The same for a log of before, by its header; what that has no place for is left out. Null for a header that is none. */
export function olderLogLine(header: string, row: CheckRow): string | null {
  if (header === ERRORLESS_LOG_HEADER)
    return csvLine([...firstCells(row), ...laterCells(row), row.needle, row.picture]);
  if (header === PICTURELESS_LOG_HEADER) return csvLine([...firstCells(row), ...laterCells(row), row.needle]);
  if (header === NEEDLELESS_LOG_HEADER) return csvLine([...firstCells(row), ...laterCells(row)]);
  return header === OLDER_LOG_HEADER ? csvLine(firstCells(row)) : null;
}

function laterCells(row: CheckRow): (string | number | null)[] {
  const { shot, pressure, dwell, lotFactor, kind, readings, predicted, thickness, program } = row;
  return [
    ...[shot, shown(pressure, 1e-3), shown(dwell, 1), shown(lotFactor, 1)],
    ...[kind, readings, shown(predicted, 1e9), shown(thickness, 1), program],
  ];
}

function firstCells(row: CheckRow): (string | number | null)[] {
  return [
    row.time,
    row.recipe,
    row.digest,
    row.syringe,
    row.lot,
    row.operator,
    shown(row.age, 1 / 60),
    row.temperature === null ? null : tidy(row.temperature - 273.15),
    row.shots,
    shown(row.mean, 1e9),
    shown(row.low, 1e9),
    shown(row.high, 1e9),
    row.decision,
    shown(row.trim, 1),
    row.note,
  ];
}

const NUMBERS = {
  age: { kind: 'time', least: 'zero or above', required: false },
  temperature: { kind: 'temperature', least: 'any', required: false },
  shots: { kind: 'factor', least: 'above zero', required: false, whole: true },
  mean: { kind: 'volume', least: 'above zero', required: true, unit: 'uL' },
  low: { kind: 'volume', least: 'any', required: false },
  high: { kind: 'volume', least: 'any', required: false },
  trim: { kind: 'time', least: 'any', required: false },
  shot: { kind: 'factor', least: 'above zero', required: false, whole: true },
  pressure: { kind: 'pressure', least: 'any', required: false },
  dwell: { kind: 'time', least: 'above zero', required: false },
  lot_factor: { kind: 'factor', least: 'above zero', required: false },
  predicted: { kind: 'volume', least: 'any', required: false },
  thickness: { kind: 'factor', least: 'above zero', required: false },
  reading_error: { kind: 'length', least: 'above zero', required: false },
} satisfies Record<string, ColumnSpec>;

const TEXTS = [
  ...(['time', 'recipe', 'digest', 'syringe', 'lot', 'operator', 'decision', 'note'] as const),
  ...(['kind', 'readings', 'program', 'needle', 'picture'] as const),
];

/** True for a date, or a date and time, as ISO 8601 writes it, that the calendar has. */
export function isIsoTime(text: string): boolean {
  if (!ISO_TIME.test(text) || !Number.isFinite(Date.parse(text))) return false;
  // The parser takes 30 February for 2 March.
  return new Date(`${text.slice(0, 10)}T00:00:00Z`).toISOString().startsWith(text.slice(0, 10));
}

/** ISO 8601 date, or date and time with an offset or Z. */
const ISO_TIME = /^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}(:\d{2}(\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?)?$/;

/** The check log; `time`, `decision` and `mean` must be there, other columns may be missing, as in older logs, and are then empty. */
export async function readCheckLog(text: string, file: string): Promise<DataReading<CheckRow>> {
  const { table, diagnostics: early } = readCsv(text, file);
  if (table === null) return { rows: null, table, taken: null, diagnostics: early };
  const numbers = await readColumns(table, NUMBERS);
  const diagnostics: Diagnostic[] = [...early, ...numbers.diagnostics];
  for (const name of ['time', 'decision'] as const) {
    const column = columnNamed(table, name);
    if ('code' in column) diagnostics.push(column);
  }
  const texts = (name: string) => {
    const column = findColumn(table, name);
    return column === undefined || 'code' in column ? undefined : column;
  };
  const cell = (name: string, i: number): string => texts(name)?.cells[i] ?? '';
  const rows = Array.from({ length: table.rows }, (_, i): CheckRow => {
    const time = cell('time', i);
    const timeColumn = texts('time');
    if (timeColumn !== undefined && !isIsoTime(time)) {
      const message = time === '' ? 'the time is empty' : `"${time}" is not a time as ISO 8601 writes it`;
      const wrong = floorFinding('data-time-invalid', 'time', message, 'write 2026-03-02T06:40:00+01:00');
      diagnostics.push(placed(wrong, table.place(i, timeColumn.index)));
    }
    const words = Object.fromEntries(TEXTS.map(name => [name, cell(name, i)])) as Record<
      (typeof TEXTS)[number],
      string
    >;
    const value = (name: keyof typeof NUMBERS): number | null => numbers.values[name][i] ?? null;
    return {
      ...words,
      age: value('age'),
      temperature: value('temperature'),
      shots: value('shots'),
      mean: value('mean') ?? 0,
      low: value('low'),
      high: value('high'),
      trim: value('trim'),
      ...{ shot: value('shot'), pressure: value('pressure'), dwell: value('dwell') },
      lotFactor: value('lot_factor'),
      ...{ predicted: value('predicted'), thickness: value('thickness') },
      readingError: value('reading_error'),
    };
  });
  diagnostics.sort(byPosition);
  const usable = !diagnostics.some(d => d.severity === 'error');
  const taken = dataTaken(table, numbers.taken, { used: rows.length, leftOut: 0 });
  return { rows: usable ? rows : null, table, taken, diagnostics };
}

function shown(si: number | null, perSi: number): number | null {
  return si === null ? null : tidy(si * perSi);
}

/** Twelve significant digits: what unit conversion adds behind them is noise. */
function tidy(value: number): number {
  return Number(value.toPrecision(12));
}
