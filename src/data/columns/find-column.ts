import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { choice, didYouMean } from '../../diagnostics/suggestion.ts';
import type { DataColumn, DataTable } from '../csv/csv.ts';
import { headerText, listed, plainName } from '../csv/heads.ts';

/**
 * The column of a name: the one that the call gives it to, else the one with that very name, else the only one whose name differs in
 * capitals and blanks alone. Undefined for none; a diagnostic at the header where several could be meant.
 */
export function findColumn(table: DataTable, name: string): DataColumn | Diagnostic | undefined {
  const { columns } = table;
  const exact =
    columns.find(c => c.given && c.name === name) ??
    columns.find(c => c.name === name) ??
    columns.find(c => c.head === name);
  if (exact !== undefined) return exact;
  const near = columns.filter(c => plainName(c.name) === plainName(name) || plainName(c.head) === plainName(name));
  if (near.length < 2) return near[0];
  const heads = near.map(c => `"${c.head}"`);
  const message = `the column "${name}" may be ${choice(heads)}`;
  return placed(
    floorFinding('data-column-duplicate', name, message, `say which: --column ${name}=${heads[0]}`),
    table.place(-1, near[1]!.index),
  );
}

/** As `findColumn`, with a diagnostic that says which columns there are where none has the name. */
export function columnNamed(table: DataTable, name: string): DataColumn | Diagnostic {
  return findColumn(table, name) ?? missing(table, name, `there is no column "${name}"`);
}

/** That a column is missing that a kind of data file needs. */
export function missingColumn(table: DataTable, name: string, unit: string | undefined): Diagnostic {
  return missing(table, name, `the column "${headerText(name, unit ?? null)}" is missing`);
}

function missing(table: DataTable, name: string, message: string): Diagnostic {
  const names = table.columns.map(c => c.name);
  const help = didYouMean(name, names) ?? `the header has ${listed(names)}`;
  return placed(floorFinding('data-column-missing', name, message, help), table.place(-1, 0));
}
