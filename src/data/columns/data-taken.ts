import type { DataColumn, DataTable } from '../csv/csv.ts';
import { headerText } from '../csv/heads.ts';

/** What was taken from a data file, as results show it. */
export interface DataTaken {
  /** Between two cells; null in a file of one column. */
  readonly separator: ',' | ';' | 'tab' | null;
  readonly decimal: '.' | ',';
  /** The columns that were read: the name they were read under, their head in the file, the unit of their numbers. */
  readonly columns: readonly { readonly name: string; readonly head: string; readonly unit: string | null }[];
  /** Rows that were used. */
  readonly rows: number;
  /** Rows without a measurement. */
  readonly left_out: number;
}

/** A column that was read, with the unit that was taken for it. */
export interface TakenColumn {
  readonly name: string;
  readonly column: DataColumn;
  readonly unit: string | null;
}

export function dataTaken(
  table: DataTable,
  columns: readonly TakenColumn[],
  rows: { readonly used: number; readonly leftOut: number },
): DataTaken {
  return {
    separator: table.separator === '\t' ? 'tab' : table.separator,
    decimal: table.decimalComma ? ',' : '.',
    columns: columns.map(({ name, column, unit }) => ({ name, head: column.head, unit })),
    rows: rows.used,
    left_out: rows.leftOut,
  };
}

/** One line about what was taken otherwise than a plain CSV with plain heads says; null where nothing was. */
export function takenNote(taken: DataTaken): string | null {
  const between = { ',': null, ';': 'cells separated by semicolons', tab: 'cells separated by tabs' } as const;
  const parts = [
    taken.separator === null ? 'one column' : between[taken.separator],
    taken.decimal === ',' ? 'decimal commas' : null,
    ...taken.columns.map(({ name, head, unit }) =>
      head === headerText(name, unit) || head === `${name}[${unit}]`
        ? null
        : `"${head}" taken as ${headerText(name, unit)}`,
    ),
  ].filter(part => part !== null);
  // A file of one column with a plain head and decimal points is as plain as any.
  return parts.length === 0 || (parts.length === 1 && taken.separator === null) ? null : parts.join('; ');
}
