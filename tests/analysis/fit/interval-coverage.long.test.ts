import { describe, expect, test } from 'vitest';
import { CASES, CROSS_BEYOND, coverage } from './interval-coverage.ts';

// 600 runs of two to four parameters: one standard error is 0.5 to 0.9 % by how far they go together.
describe('95 % intervals of fits, simulated at length', () => {
  test.each(CASES.map(c => [c.name, c] as const))('%s: the truth is held in 93 to 97 %% of runs', (_, one) => {
    const { interval } = coverage(one, 600, 41);
    expect(interval).toBeGreaterThan(0.93);
    expect(interval).toBeLessThan(0.97);
  });

  test('a cross model whose lower plateau was not reached: never fewer, though more where the bound at zero helps', () => {
    const { interval, straight } = coverage(CROSS_BEYOND, 600, 42, 2.131); // t of 0.975 on 15
    expect(interval).toBeGreaterThan(0.93);
    expect(straight).toBeLessThan(0.9);
  });
});
