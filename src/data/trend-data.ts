import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, placed } from '../diagnostics/finding.ts';
import { placesText } from '../diagnostics/repeated.ts';
import { plainNumbers } from './columns/columns.ts';
import { type DataTaken, dataTaken } from './columns/data-taken.ts';
import { columnNamed, findColumn } from './columns/find-column.ts';
import { leftOutFinding } from './columns/left-out.ts';
import { type DataColumn, type DataTable, type GivenColumn, readCsv } from './csv/csv.ts';

export interface TrendColumns {
  /** Name of the column of readings. */
  readonly column: string;
  /** How many rows in a row make a subgroup, or the column whose equal cells make one; absent: every row by itself. */
  readonly subgroup?: string | number;
  /** Column of the labels; default: the subgroup's column, else `time` where there is one, else the number of the row. */
  readonly label?: string;
}

/** Readings of a trend in their column's own unit. */
export interface TrendData {
  readonly unit: string | null;
  readonly subgroups: readonly { readonly label: string; readonly values: readonly number[] }[];
}

export interface TrendReading {
  readonly data: TrendData | null;
  /** What was taken of the file; null where it is no table, or has not the columns. */
  readonly taken: DataTaken | null;
  readonly diagnostics: readonly Diagnostic[];
}

/** Readings for a trend of a table, or of some of its rows; rows without a value are left out without a word. */
export function trendDataOf(table: DataTable, options: TrendColumns): TrendReading {
  const diagnostics: Diagnostic[] = [];
  const find = (name: string | undefined): DataColumn | null => {
    if (name === undefined) return null;
    const column = columnNamed(table, name);
    if (!('code' in column)) return column;
    diagnostics.push(column);
    return null;
  };
  const column = find(options.column);
  const group = typeof options.subgroup === 'string' ? find(options.subgroup) : null;
  const time = findColumn(table, 'time');
  const label = find(options.label) ?? group ?? (time === undefined || 'code' in time ? null : time);
  if (column === null || diagnostics.length > 0) return { data: null, taken: null, diagnostics };
  const { values, diagnostics: bad } = plainNumbers(table, column);
  const rows = values.flatMap((value, i) =>
    value === null ? [] : [{ value, label: label?.cells[i] || String(i + 1), group: group?.cells[i] ?? '' }],
  );
  const size = typeof options.subgroup === 'number' ? options.subgroup : 1;
  const subgroups = group === null ? inRuns(rows, size) : byName(rows);
  const leftOut = column.cells.filter(cell => cell === '').length;
  return {
    data: bad.length > 0 ? null : { unit: column.unit, subgroups },
    taken: dataTaken(table, [{ name: column.name, column, unit: column.unit }], { used: rows.length, leftOut }),
    diagnostics: bad.sort(byPosition),
  };
}

/** One warning for all rows that have no value. */
export function emptyCells(table: DataTable, name: string): Diagnostic[] {
  const column = findColumn(table, name);
  if (column === undefined || 'code' in column) return [];
  const places = column.cells.flatMap((cell, i) => (cell === '' ? [table.place(i, column.index)] : []));
  const [first] = places;
  if (first === undefined) return [];
  const message =
    places.length === 1
      ? `the row has no value in "${column.name}" and was left out`
      : `${places.length} rows have no value in "${column.name}" and were left out: ${placesText(places)}`;
  return [placed(floorFinding('trend-cell-skipped', column.name, message), first)];
}

export interface GaugeColumns {
  readonly part: string;
  readonly operator: string;
  readonly value: string;
}

/** Readings of a gauge study, in the unit of the value column. */
export interface GaugeData {
  readonly unit: string | null;
  readonly readings: readonly { readonly part: string; readonly operator: string; readonly value: number }[];
}

export interface GaugeReading {
  readonly data: GaugeData | null;
  readonly taken: DataTaken | null;
  readonly diagnostics: readonly Diagnostic[];
}

/** Readings of a gauge study from any CSV; every row needs its part and operator, and one without its value is left out. */
export function readGaugeData(
  text: string,
  file: string,
  options: GaugeColumns,
  given: readonly GivenColumn[] = [],
): GaugeReading {
  const { table, diagnostics: early } = readCsv(text, file, given);
  if (table === null) return { data: null, taken: null, diagnostics: early };
  const columns = [options.part, options.operator, options.value].map(name => columnNamed(table, name));
  const [part, operator, value] = columns.filter(c => !('code' in c)) as DataColumn[];
  if (value === undefined) {
    const missing = columns.filter(c => 'code' in c) as Diagnostic[];
    return { data: null, taken: null, diagnostics: [...early, ...missing] };
  }
  const { values, diagnostics: bad } = plainNumbers(table, value);
  const rows = Array.from({ length: table.rows }, (_, i) => i);
  const leftOut = rows.filter(i => value.cells[i] === '');
  const measured = rows.filter(i => value.cells[i] !== '');
  const empty = [part!, operator!].flatMap(column =>
    measured.flatMap(i => {
      if (column.cells[i] !== '') return [];
      const message = `the cell of "${column.name}" is empty`;
      const help = 'fill it in, or remove the row';
      return [placed(floorFinding('data-cell-missing', column.name, message, help), table.place(i, column.index))];
    }),
  );
  const skipped = leftOutFinding(table, leftOut, { what: value.name, of: table.rows });
  const diagnostics = [...early, ...bad, ...empty, ...skipped].sort(byPosition);
  const taken = dataTaken(
    table,
    [
      { name: 'part', column: part!, unit: part!.unit },
      { name: 'operator', column: operator!, unit: operator!.unit },
      { name: 'value', column: value, unit: value.unit },
    ],
    { used: measured.length, leftOut: leftOut.length },
  );
  if (diagnostics.some(d => d.severity === 'error')) return { data: null, taken, diagnostics };
  const readings = measured.map(i => ({ part: part!.cells[i]!, operator: operator!.cells[i]!, value: values[i]! }));
  return { data: { unit: value.unit, readings }, taken, diagnostics };
}

interface LabelledRow {
  readonly value: number;
  readonly label: string;
  readonly group: string;
}

function inRuns(rows: readonly LabelledRow[], size: number): { label: string; values: number[] }[] {
  const out: { label: string; values: number[] }[] = [];
  for (let i = 0; i < rows.length; i += size) {
    out.push({ label: rows[i]!.label, values: rows.slice(i, i + size).map(r => r.value) });
  }
  return out;
}

/** Rows with the same cell together, in the order in which each cell first comes. */
function byName(rows: readonly LabelledRow[]): { label: string; values: number[] }[] {
  const groups = new Map<string, { label: string; values: number[] }>();
  for (const row of rows) {
    const group = groups.get(row.group) ?? { label: row.label, values: [] };
    group.values.push(row.value);
    groups.set(row.group, group);
  }
  return [...groups.values()];
}
