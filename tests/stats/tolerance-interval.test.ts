import { describe, expect, it, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { mean, standardDeviation } from '../../src/stats/descriptive.ts';
import { normalCdf } from '../../src/stats/distributions.ts';
import { toleranceFactor } from '../../src/stats/tolerance-interval.ts';

describe('the factor of a two-sided tolerance interval', () => {
  // ISO 16269-6:2014, tables F.1 to F.9, column m = 1; the standard rounds up in the fourth decimal
  test.each([
    [2, 0.9, 0.9, 15.5124],
    [8, 0.9, 0.9, 2.7542],
    [3, 0.95, 0.9, 6.8233],
    [4, 0.99, 0.9, 6.3722],
    [2, 0.9, 0.95, 31.0923],
    [16, 0.9, 0.95, 2.4486],
    [5, 0.95, 0.95, 5.0769],
    [10, 0.95, 0.95, 3.3935],
    [26, 0.95, 0.95, 2.6188],
    [200, 0.95, 0.95, 2.143],
    [3, 0.99, 0.95, 12.6472],
    [4, 0.9, 0.99, 9.4162],
    [2, 0.95, 0.99, 182.7201],
    [1000, 0.99, 0.99, 2.7184],
  ])('n = %d, coverage %d, confidence %d: %d', (n, coverage, confidence, k) => {
    expect(Math.ceil(toleranceFactor({ n, coverage, confidence }) * 1e4) / 1e4).toBeCloseTo(k, 6);
  });

  it('NIST/SEMATECH e-Handbook 7.2.6.3: 43 wafers, 90 % of them with 99 % confidence, k about 2.217', () => {
    // The handbook's factor is an approximation, 2.2173 by its own formula; the exact one is a little greater.
    const k = toleranceFactor({ n: 43, coverage: 0.9, confidence: 0.99 });
    expect(k).toBeGreaterThan(2.217);
    expect(k).toBeLessThan(2.217 * 1.003);
    // Limits for a mean of 97.07 and a standard deviation of 0.0268, as worked out at scribd.com/document/471866375.
    expect(97.07 - k * 0.0268).toBeCloseTo(97.0106, 3);
    expect(97.07 + k * 0.0268).toBeCloseTo(97.1294, 3);
  });

  it('holds the share that it promises in 95 % of samples', () => {
    const random = randomSource(20);
    const k = toleranceFactor({ n: 3, coverage: 0.95, confidence: 0.95 });
    const samples = 4000;
    let held = 0;
    for (let i = 0; i < samples; i++) {
      const readings = Array.from({ length: 3 }, () => random.normal());
      const [middle, reach] = [mean(readings), k * standardDeviation(readings)];
      if (normalCdf(middle + reach) - normalCdf(middle - reach) >= 0.95) held++;
    }
    // three standard errors of a share of 0.95 in 4000
    expect(Math.abs(held / samples - 0.95)).toBeLessThan(3 * Math.sqrt((0.95 * 0.05) / samples));
  });

  it('is refused for a single reading and for shares that cannot be', () => {
    expect(() => toleranceFactor({ n: 1, coverage: 0.95, confidence: 0.95 })).toThrow(/n = 1/);
    expect(() => toleranceFactor({ n: 3, coverage: 1, confidence: 0.95 })).toThrow(/coverage = 1/);
    expect(() => toleranceFactor({ n: 3, coverage: 0.95, confidence: 0 })).toThrow(/confidence = 0/);
  });
});
