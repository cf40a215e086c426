import type { SweepResult } from '../../analysis/changes/sweep-result.ts';
import { headerText } from '../../data/csv/heads.ts';
import { writeCsv } from '../../data/csv/write-csv.ts';

/** A sweep, one point a row: the values of the grid with their units, the results, and how many findings there were. */
export function sweepCsv({ grid, take, points }: SweepResult): string {
  const header = [...grid.map(({ path, unit }) => headerText(path, unit)), ...take, 'diagnostics'];
  const rows = points.map(({ values, results, diagnostics }) => [
    ...values,
    ...results.map(value => (typeof value === 'boolean' ? String(value) : value)),
    diagnostics,
  ]);
  return writeCsv(header, rows);
}
