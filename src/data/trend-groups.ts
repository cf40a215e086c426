import { byPosition, type Diagnostic, type Place } from '../diagnostics/finding.ts';
import type { DataTaken } from './columns/data-taken.ts';
import { columnNamed } from './columns/find-column.ts';
import { type DataTable, type GivenColumn, readCsv } from './csv/csv.ts';
import { emptyCells, type TrendColumns, type TrendData, trendDataOf } from './trend-data.ts';

export interface TrendGroup {
  /** Cell that its rows have in common; null for the whole file. */
  readonly name: string | null;
  readonly data: TrendData;
}

export interface TrendGroupsReading {
  /** In the order in which each first comes; null where the file cannot be used. */
  readonly groups: readonly TrendGroup[] | null;
  /** The column of readings, as its header has it, and where that stands; null where there is none. */
  readonly column: { readonly name: string; readonly unit: string | null; readonly place: Place } | null;
  /** What was taken of the file; null where it is no table, or has not the columns. */
  readonly taken: DataTaken | null;
  readonly diagnostics: readonly Diagnostic[];
}

/** Readings of any CSV for a trend, the rows apart by the cells of a column where one is named. */
export function readTrendGroups(
  text: string,
  file: string,
  options: TrendColumns & { readonly by?: string },
  given: readonly GivenColumn[] = [],
): TrendGroupsReading {
  const { table, diagnostics: early } = readCsv(text, file, given);
  if (table === null) return { groups: null, column: null, taken: null, diagnostics: early };
  const readings = columnNamed(table, options.column);
  const column =
    'code' in readings ? null : { name: readings.name, unit: readings.unit, place: table.place(-1, readings.index) };
  const by = options.by === undefined ? null : columnNamed(table, options.by);
  if (by !== null && 'code' in by) {
    const also = 'code' in readings ? [readings] : [];
    return { groups: null, column, taken: null, diagnostics: [...early, by, ...also].sort(byPosition) };
  }
  const names = by === null ? [null] : [...new Set(by.cells)];
  const diagnostics = [...early, ...emptyCells(table, options.column)];
  const groups: TrendGroup[] = [];
  for (const name of names) {
    const part = name === null || by === null ? table : rowsWhere(table, i => by.cells[i] === name);
    const read = trendDataOf(part, options);
    diagnostics.push(...read.diagnostics);
    if (read.data !== null) groups.push({ name, data: read.data });
  }
  const known = new Set<string>();
  const each = diagnostics.filter(d => {
    const key = JSON.stringify([d.code, d.line, d.column, d.message]);
    return known.has(key) ? false : known.add(key);
  });
  const usable = !each.some(d => d.severity === 'error');
  const taken = trendDataOf(table, options).taken;
  return { groups: usable ? groups : null, column, taken, diagnostics: each.sort(byPosition) };
}

/** Some rows of a table, each with its place in the file. */
function rowsWhere(table: DataTable, wanted: (row: number) => boolean): DataTable {
  const kept = Array.from({ length: table.rows }, (_, i) => i).filter(wanted);
  return {
    ...table,
    columns: table.columns.map(column => ({ ...column, cells: kept.map(i => column.cells[i]!) })),
    rows: kept.length,
    place: (row, column) => table.place(row < 0 ? row : kept[row]!, column),
  };
}
