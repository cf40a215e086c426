import { describe, expect, test } from 'vitest';
import { lackOfFit } from '../../src/stats/lack-of-fit.ts';

describe('lack of fit', () => {
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
});
