import { describe, expect, test } from 'vitest';
import { CASES, CROSS_BEYOND, coverage } from './interval-coverage.ts';

// Binomial: 60 and more intervals of 95 %, in runs whose parameters go together, lie above 0.85 but once in a thousand.
describe('95 % intervals of fits, simulated', () => {
  test.each(CASES.map(c => [c.name, c] as const))('%s: the truth is hardly ever left out', (_, one) => {
    const { interval, asked } = coverage(one, 20, 31);
    expect(asked).toBeGreaterThanOrEqual(40);
    expect(interval).toBeGreaterThan(0.85);
  });

  test('a cross model whose lower plateau was not reached keeps its truth, where standard errors lose it in a fifth and more', () => {
    const { interval, straight } = coverage(CROSS_BEYOND, 25, 32, 2.131); // t of 0.975 on 15
    expect(interval).toBeGreaterThan(0.9);
    expect(straight).toBeLessThan(0.9);
  });
});
