import { describe, expect, test } from 'vitest';
import { matrix } from '../../src/numeric/linear-algebra.ts';
import { correctedAkaike, lackOfFit, linearRegression } from '../../src/stats/regression.ts';
import { readLinear } from '../numeric/strd.ts';

const relative = (value: number, expected: number): number => Math.abs(value / expected - 1);
const withConstant = (rows: number[][]): ReturnType<typeof matrix> =>
  matrix(
    { rows: rows.length, columns: rows[0]!.length },
    rows.flatMap(r => [1, ...r.slice(1)]),
  );

describe('NIST StRD linear regression, certified to 15 digits', () => {
  test.each(['Norris', 'Longley'])('%s', name => {
    const set = readLinear(name);
    const fit = linearRegression(
      withConstant(set.rows),
      set.rows.map(r => r[0]!),
    );
    expect(fit.estimates).toHaveLength(set.estimates.length);
    for (const [k, certified] of set.estimates.entries()) {
      // Longley's columns depend on each other to five digits; eleven or more of 15 survive.
      expect(relative(fit.estimates[k]!, certified)).toBeLessThan(1e-11);
      expect(relative(fit.standardErrors![k]!, set.deviations[k]!)).toBeLessThan(1e-9);
    }
    expect(relative(fit.residualSd!, set.residualSd)).toBeLessThan(1e-12);
  });

  test('leverages of a straight line are 1/n + (x − x̄)²/Sxx', () => {
    const x = [0, 1, 2, 3];
    const fit = linearRegression(
      matrix(
        { rows: 4, columns: 2 },
        x.flatMap(v => [1, v]),
      ),
      [1, 3, 2, 5],
    );
    for (const [i, v] of x.entries()) expect(fit.leverage[i]).toBeCloseTo(1 / 4 + (v - 1.5) ** 2 / 5, 12);
  });

  test('columns that depend on each other, and sizes that do not fit, are refused', () => {
    const twice = matrix({ rows: 3, columns: 2 }, [1, 2, 2, 4, 3, 6]);
    expect(() => linearRegression(twice, [1, 2, 3])).toThrow(/independent/);
    expect(() => linearRegression(twice, [1, 2])).toThrow(/y = 2/);
  });
});

describe('lack of fit and AICc', () => {
  test('five readings at three settings, by hand', () => {
    // Residuals 1, −1 | 2 | 0, 2; pure error: 1 + 1 + 0 + 1 + 1 = 4 with 2 degrees; all: 1 + 1 + 4 + 0 + 4 = 10;
    // lack 6 with 3 − 2 = 1 degree; F = 6 / 2 = 3; p of F(1, 2) = 1 − √(3/(3 + 2)) = 0.225403.
    const test5 = lackOfFit([1, -1, 2, 0, 2], ['a', 'a', 'b', 'c', 'c'], 2)!;
    expect(test5.f).toBeCloseTo(3, 12);
    expect(test5.p).toBeCloseTo(1 - Math.sqrt(3 / 5), 10);
    expect([test5.lackDegrees, test5.pureDegrees]).toEqual([1, 2]);
    expect(test5.pureSd).toBeCloseTo(Math.SQRT2, 12);
  });

  test('no replicates, or no settings to spare, give no test', () => {
    expect(lackOfFit([1, 2, 3], ['a', 'b', 'c'], 1)).toBeNull();
    expect(lackOfFit([1, 2, 3], ['a', 'b', 'b'], 2)).toBeNull();
    expect(lackOfFit([1, 1, 2, 2, 3, 3], ['a', 'a', 'b', 'b', 'c', 'c'], 1)).toBeNull();
  });

  test('AICc by hand', () => {
    // n = 10, RSS = 10, two parameters: k = 3; 10·ln 1 + 6 + 24/6 = 10.
    expect(correctedAkaike({ sumOfSquares: 10, count: 10, parameters: 2 })).toBeCloseTo(10, 12);
    expect(correctedAkaike({ sumOfSquares: 10, count: 4, parameters: 2 })).toBeNull();
  });
});
