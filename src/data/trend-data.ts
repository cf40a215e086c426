import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, placed } from '../diagnostics/finding.ts';
import { columnNamed, plainNumbers } from './columns.ts';
import { type DataColumn, type DataTable, readCsv } from './csv.ts';

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
  readonly diagnostics: readonly Diagnostic[];
}

/** Readings for a trend of a table, or of some of its rows. Rows without a value are left out, with a warning for each. */
export function trendDataOf(table: DataTable, options: TrendColumns, early: readonly Diagnostic[] = []): TrendReading {
  const diagnostics = [...early];
  const find = (name: string | undefined): DataColumn | null => {
    if (name === undefined) return null;
    const column = columnNamed(table, name);
    if (!('code' in column)) return column;
    diagnostics.push(column);
    return null;
  };
  const column = find(options.column);
  const group = typeof options.subgroup === 'string' ? find(options.subgroup) : null;
  const label = find(options.label) ?? group ?? table.columns.find(c => c.name === 'time') ?? null;
  if (column === null || diagnostics.some(d => d.severity === 'error')) return { data: null, diagnostics };
  const { values, diagnostics: bad } = plainNumbers(table, column);
  diagnostics.push(...bad, ...skipped(table, column));
  const rows = values.flatMap((value, i) =>
    value === null ? [] : [{ value, label: label?.cells[i] || String(i + 1), group: group?.cells[i] ?? '' }],
  );
  const size = typeof options.subgroup === 'number' ? options.subgroup : 1;
  const subgroups = group === null ? inRuns(rows, size) : byName(rows);
  const usable = !diagnostics.some(d => d.severity === 'error');
  return { data: usable ? { unit: column.unit, subgroups } : null, diagnostics: diagnostics.sort(byPosition) };
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
  readonly diagnostics: readonly Diagnostic[];
}

/** Readings of a gauge study from any CSV; every row needs its part, operator and value. */
export function readGaugeData(text: string, file: string, options: GaugeColumns): GaugeReading {
  const { table, diagnostics: early } = readCsv(text, file);
  if (table === null) return { data: null, diagnostics: early };
  const diagnostics = [...early];
  const columns = [options.part, options.operator, options.value].map(name => columnNamed(table, name));
  const found = columns.filter(c => !('code' in c)) as DataColumn[];
  diagnostics.push(...(columns.filter(c => 'code' in c) as Diagnostic[]));
  const [part, operator, value] = found;
  if (found.length < 3) return { data: null, diagnostics };
  const { values, diagnostics: bad } = plainNumbers(table, value!);
  diagnostics.push(...bad);
  for (const column of found) {
    for (const [i, cell] of column.cells.entries()) {
      if (cell !== '') continue;
      const empty = floorFinding(
        'data-cell-missing',
        column.name,
        `the cell of "${column.name}" is empty`,
        'fill it in, or remove the row',
      );
      diagnostics.push(placed(empty, table.place(i, column.index)));
    }
  }
  diagnostics.sort(byPosition);
  if (diagnostics.some(d => d.severity === 'error')) return { data: null, diagnostics };
  const readings = values.map((v, i) => ({ part: part!.cells[i]!, operator: operator!.cells[i]!, value: v! }));
  return { data: { unit: value!.unit, readings }, diagnostics };
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

function skipped(table: DataTable, column: DataColumn): Diagnostic[] {
  return column.cells.flatMap((cell, i) => {
    if (cell !== '') return [];
    const gap = floorFinding(
      'trend-cell-skipped',
      column.name,
      `the row has no value in "${column.name}" and was left out`,
      'fill it in if it was measured',
    );
    return [placed(gap, table.place(i, column.index))];
  });
}
