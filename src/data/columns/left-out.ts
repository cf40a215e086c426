import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { placesText } from '../../diagnostics/repeated.ts';
import type { DataTable } from '../csv/csv.ts';

/** One warning for all rows that were left out for want of a measurement; an error where none has one. */
export function leftOutFinding(
  table: DataTable,
  rows: readonly number[],
  columns: { readonly what: string; readonly of: number },
): Diagnostic[] {
  const [first] = rows;
  if (first === undefined) return [];
  const at = table.place(first, 0);
  const neither = columns.what.includes(' nor ') ? 'neither ' : 'no ';
  if (rows.length === columns.of) {
    const none = floorFinding(
      'data-empty',
      null,
      `no row has a measurement: ${neither}${columns.what}`,
      'fill them in',
    );
    return [placed(none, at)];
  }
  const places = rows.map(row => table.place(row, 0));
  const message =
    rows.length === 1
      ? `the row has ${neither}${columns.what} and was left out`
      : `${rows.length} rows have ${neither}${columns.what} and were left out: ${placesText(places)}`;
  return [placed(floorFinding('data-row-skipped', null, message), at)];
}
