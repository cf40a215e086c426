import type { RecalledCheck } from '../../analysis/trend/recall.ts';
import { writeCsv } from '../../data/csv/write-csv.ts';

const COLUMNS = [
  ...(['time', 'recipe', 'digest', 'syringe', 'lot', 'operator', 'decision', 'match', 'file', 'line'] as const),
];

/** The lines of a recall, one a row, in order of time. */
export function recallCsv(checks: readonly RecalledCheck[]): string {
  return writeCsv(
    COLUMNS,
    checks.map(check => COLUMNS.map(name => check[name])),
  );
}
