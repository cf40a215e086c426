import { describe, expect, test } from 'vitest';
import type { FitRow } from '../../../src/analysis/fit/fit.ts';
import { replicateGroups } from '../../../src/analysis/fit/replicate-groups.ts';

const row = (pressure: number, age: number | null): FitRow => ({
  pressure,
  dwell: 0.5,
  age: age === null ? null : age * 60,
  temperature: null,
  shots: 5,
  mass: 1e-5,
  diameter: null,
  line: 2,
});
/** Groups as small numbers, in the order in which they come. */
function groups(rows: FitRow[]): number[] {
  const labels = replicateGroups(rows);
  const seen = [...new Set(labels)];
  return labels.map(label => seen.indexOf(label));
}

describe('which trials repeat one another', () => {
  test('equal settings do', () => {
    expect(groups([row(1e5, 15), row(1e5, 15), row(2e5, 15), row(1e5, 50)])).toEqual([0, 0, 1, 2]);
    expect(groups([row(1e5, null), row(1e5, null)])).toEqual([0, 0]);
  });

  test('where each weighing has an age of its own, a run of weighings counts as one age', () => {
    const rows = [15, 16, 17, 18, 50, 51, 52].map((age, i) => row(i % 2 ? 2e5 : 1e5, age));
    expect(groups(rows)).toEqual([0, 1, 0, 1, 2, 3, 2]);
  });

  test('two ages far apart are two, even when there are no more', () => {
    expect(groups([row(1e5, 15), row(1e5, 50)])).toEqual([0, 1]);
  });
});
