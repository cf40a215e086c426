import type { BatchResult, ScheduleKeys } from '../../analysis/batch/batch.ts';
import type { PooledResult } from '../../analysis/batch/pooled-batch.ts';
import { headerText } from '../../data/csv/heads.ts';
import { writeCsv } from '../../data/csv/write-csv.ts';

const COLUMNS: readonly (readonly [keyof ScheduleKeys, string, string | null])[] = [
  ['syringe', 'syringe', null],
  ['kit', 'kit', null],
  ['station', 'station', null],
  ['mixed_day', 'mixed_day', null],
  ['mixed_at', 'mixed_at', null],
  ['first_day', 'first_day', null],
  ['first_at', 'first_at', null],
  ['last_day', 'last_day', null],
  ['last_at', 'last_at', null],
  ['first_age_min', 'first_age', 'min'],
  ['last_age_min', 'last_age', 'min'],
  ['connectors', 'connectors', null],
  ['needles', 'needles', null],
  ['dispensed_mL', 'dispensed', 'mL'],
  ['wasted_mL', 'wasted', 'mL'],
  ['ended_by', 'ended_by', null],
];

/** The schedule of a batch, one syringe a row, units in the heads. */
export function batchCsv(batch: BatchResult): string {
  return writeCsv(
    COLUMNS.map(([, name, unit]) => headerText(name, unit)),
    batch.schedule.map(row => COLUMNS.map(([key]) => row[key])),
  );
}

/** The same of several recipes that share kits: one row for each syringe and recipe. */
export function pooledCsv(batch: PooledResult): string {
  const heads = ['syringe', 'kit', 'recipe', 'connectors', 'first_day', 'first_at', 'last_day', 'last_at'];
  return writeCsv(
    [...heads, headerText('first_age', 'min'), headerText('last_age', 'min')],
    batch.schedule.flatMap(({ syringe, kit, parts }) =>
      parts.map(part => [
        ...[syringe, kit, part.recipe, part.connectors, part.first_day, part.first_at, part.last_day, part.last_at],
        ...[part.first_age_min, part.last_age_min],
      ]),
    ),
  );
}
