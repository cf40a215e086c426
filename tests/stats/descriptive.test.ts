import { describe, expect, test } from 'vitest';
import { compensatedSum, mean, median, quantile, spanOf, standardDeviation } from '../../src/stats/descriptive.ts';
import { readUnivariate } from '../numeric/strd.ts';

const relative = (value: number, expected: number): number => Math.abs(value / expected - 1);

describe('NIST StRD univariate', () => {
  test.each(['Lew', 'NumAcc1'])('%s to 13 digits', name => {
    const set = readUnivariate(name);
    expect(relative(mean(set.values), set.mean)).toBeLessThan(1e-14);
    expect(relative(standardDeviation(set.values), set.sd)).toBeLessThan(1e-13);
  });

  test('NumAcc4: the mean to 15 digits, the rest to what the decimals keep in binary', () => {
    // 10000000.1 is 3.7e-10 away from the nearest double; of a deviation of 0.1 that leaves 8 digits.
    const set = readUnivariate('NumAcc4');
    expect(set.values).toHaveLength(1001);
    expect(relative(mean(set.values), set.mean)).toBeLessThan(1e-15);
    expect(relative(standardDeviation(set.values), set.sd)).toBeLessThan(1e-8);
  });

  test('NumAcc4 to 14 digits of what exact arithmetic makes of the doubles', () => {
    // All readings are whole multiples of 2^-29, so sums of integers give the variance exactly.
    const { values } = readUnivariate('NumAcc4');
    const whole = values.map(v => BigInt(v * 2 ** 29));
    const n = BigInt(whole.length);
    const sum = whole.reduce((s, v) => s + v, 0n);
    const squares = whole.reduce((s, v) => s + v * v, 0n);
    const numerator = n * squares - sum * sum; // = n (n − 1) variance, in 2^-58
    const exact = Math.sqrt(Number(numerator) / Number(n * (n - 1n))) * 2 ** -29;
    expect(relative(standardDeviation(values), exact)).toBeLessThan(1e-14);
  });
});

describe('sums and quantiles', () => {
  test('a compensated sum keeps what a plain one loses', () => {
    expect(compensatedSum([1, 1e100, 1, -1e100])).toBe(2);
    expect(compensatedSum([])).toBe(0);
  });

  test('JCGM 100 4.4.3: 20 readings give 100.145, 1.489, 0.333', () => {
    const x = [
      96.9, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07, 100.33, 100.42, 100.68, 100.95, 101.11,
      101.2, 101.57, 101.84, 102.36, 102.72,
    ];
    expect(mean(x)).toBeCloseTo(100.145, 9); // exact in decimal
    expect(standardDeviation(x)).toBeCloseTo(1.489, 3); // printed digits
    expect(standardDeviation(x) / Math.sqrt(20)).toBeCloseTo(0.333, 3);
  });

  test('quantiles of type 7 by hand', () => {
    // h = 3p + 1 for four values: p = 0.25 → 1.75 → 1 + 0.75·(2 − 1); p = 0.5 → 2.5; p = 0.9 → 3.7 → 4 + 0.7·(8 − 4)
    const values = [8, 1, 4, 2];
    expect(quantile(values, 0.25)).toBeCloseTo(1.75, 12);
    expect(median(values)).toBe(3);
    expect(quantile(values, 0.9)).toBeCloseTo(6.8, 12);
    expect(quantile(values, 0)).toBe(1);
    expect(quantile(values, 1)).toBe(8);
    expect(values).toEqual([8, 1, 4, 2]);
  });

  test('a wrong call is refused', () => {
    expect(() => mean([])).toThrow(/values/);
    expect(() => standardDeviation([1])).toThrow(/values/);
    expect(() => quantile([1], 1.1)).toThrow(/p = 1.1/);
    expect(() => spanOf([])).toThrow(/values/);
  });
});
