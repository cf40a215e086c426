import { median } from '../../stats/descriptive.ts';
import type { FitRow } from './fit-rows.ts';

/** A pause this many times the usual one between weighings begins another age. */
const PAUSE = 3;

/**
 * Which trials repeat one another, as a label a row: equal pressure, dwell, temperature and age. Weighings are made one after the
 * other, so that no two may have one age; where no setting is repeated so, ages of one run of weighings count as one (near replicates:
 * the model has taken out what age does within it), parted where the clock paused.
 * Source of near replicates: Daniel & Wood, Fitting Equations to Data, 2nd ed. 1980, ch. 7.
 */
export function replicateGroups(rows: readonly FitRow[]): string[] {
  const exact = rows.map(row => label(row, row.age));
  if (new Set(exact).size < exact.length) return exact;
  const ages = [...new Set(rows.flatMap(row => (row.age === null ? [] : [row.age])))].sort((a, b) => a - b);
  if (ages.length < 3) return exact;
  const gaps = ages.slice(1).map((age, i) => age - ages[i]!);
  const usual = median(gaps);
  const starts = ages.filter((_, i) => i === 0 || gaps[i - 1]! > PAUSE * usual);
  return rows.map(row => label(row, row.age === null ? null : starts.filter(start => start <= row.age!).at(-1)!));
}

function label(row: FitRow, age: number | null): string {
  return [row.pressure, row.dwell, age, row.temperature].map(v => (v === null ? '-' : v.toPrecision(9))).join(' ');
}
