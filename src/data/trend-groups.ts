import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, type Place, placed } from '../diagnostics/finding.ts';
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
  /** The column whose cells keep the rows apart, named or found; null for the whole file together. */
  readonly by: string | null;
  /** The one recipe whose checks they are, as the log names it; null where there is no such column, or several. */
  readonly recipe: string | null;
  /** What was taken of the file; null where it is no table, or has not the columns. */
  readonly taken: DataTaken | null;
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Readings of any CSV for a trend, the rows apart by the cells of a column where one is named. Rows of several recipes are
 * apart in any case: they have different aims, and one chart of all would say nothing.
 */
export function readTrendGroups(
  text: string,
  file: string,
  options: TrendColumns & { readonly by?: string },
  given: readonly GivenColumn[] = [],
): TrendGroupsReading {
  const { table, diagnostics: early } = readCsv(text, file, given);
  if (table === null) return { groups: null, column: null, by: null, recipe: null, taken: null, diagnostics: early };
  const readings = columnNamed(table, options.column);
  const column =
    'code' in readings ? null : { name: readings.name, unit: readings.unit, place: table.place(-1, readings.index) };
  const named = options.by === undefined ? null : columnNamed(table, options.by);
  const recipes = named === null ? severalRecipes(table) : null;
  const by = named ?? recipes;
  if (by !== null && 'code' in by) {
    const also = 'code' in readings ? [readings] : [];
    return {
      groups: null,
      column,
      by: null,
      recipe: null,
      taken: null,
      diagnostics: [...early, by, ...also].sort(byPosition),
    };
  }
  const diagnostics = [...early, ...emptyCells(table, options.column)];
  if (recipes !== null) {
    const message = `the file has checks of ${new Set(recipes.cells).size} recipes: each has a chart of its own`;
    diagnostics.push(placed(floorFinding('trend-several-recipes', null, message), table.place(-1, recipes.index)));
  }
  const groups: TrendGroup[] = [];
  for (const [name, rows] of rowsByCell(by?.cells ?? null)) {
    const part = rows === null ? table : rowsOf(table, rows);
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
  const recipe = oneRecipe(table);
  return {
    groups: usable ? groups : null,
    column,
    by: by?.name ?? null,
    recipe,
    taken,
    diagnostics: each.sort(byPosition),
  };
}

/** The column `recipe` of a check log that has checks of several; else null. */
function severalRecipes(table: DataTable): Exclude<ReturnType<typeof columnNamed>, Diagnostic> | null {
  const column = columnNamed(table, 'recipe');
  return 'code' in column || new Set(column.cells).size < 2 ? null : column;
}

/** What the column `recipe` of a check log says in every row; null where it does not. */
function oneRecipe(table: DataTable): string | null {
  const column = columnNamed(table, 'recipe');
  const cells = 'code' in column ? [] : [...new Set(column.cells)];
  return cells.length === 1 && cells[0] !== '' ? cells[0]! : null;
}

/** Rows by what a cell of theirs says, in the order in which each first comes; all rows together without a column. */
export function rowsByCell(cells: readonly string[] | null): Map<string | null, number[] | null> {
  if (cells === null) return new Map([[null, null]]);
  const rows = new Map<string | null, number[]>();
  cells.forEach((cell, i) => {
    const known = rows.get(cell);
    if (known === undefined) rows.set(cell, [i]);
    else known.push(i);
  });
  return rows;
}

/** Some rows of a table, each with its place in the file. */
function rowsOf(table: DataTable, kept: readonly number[]): DataTable {
  return {
    ...table,
    columns: table.columns.map(column => ({ ...column, cells: kept.map(i => column.cells[i]!) })),
    rows: kept.length,
    place: (row, column) => table.place(row < 0 ? row : kept[row]!, column),
  };
}
