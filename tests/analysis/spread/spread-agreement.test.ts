import { describe, expect, it } from 'vitest';
import { spreadAgreement } from '../../../src/analysis/spread/spread-agreement.ts';

const agreement = (u: number, off = 0, more: { error?: number; samples?: number } = {}) =>
  spreadAgreement({
    first: { mean: 0, uncertainty: u },
    // 95 % of a normal distribution lie within 1.95996 standard deviations.
    run: { mean: 0, standardDeviation: more.error ?? 1e-9 * u, interval: [-1.95996 * u - off, 1.95996 * u] },
    samples: more.samples ?? 1e6,
    scale: u,
  });

describe('how far the two ways to a spread may be apart', () => {
  // JCGM 101:2008, 7.9.2: u = c·10^l with c of as many digits as count (here one), δ = 10^l/2; its example, from memory: with one digit
  // u = 0.000 35 is 4 × 10^−4, δ = ½ × 10^−4. The others by the same rule.
  it.each([
    [0.000_35, 0.5e-4],
    [0.31, 0.05],
    [0.94, 0.05],
    [0.97, 0.5], // one digit of it is 1
    [9.4, 0.5],
    [9.6, 5],
    [1, 0.5],
    [10, 5],
    [1000, 500],
    [1e-3, 0.5e-3],
    [1e-6, 0.5e-6],
  ])('for a standard uncertainty of %d is %d', (u, tolerance) => {
    expect(agreement(u).tolerance / tolerance).toBeCloseTo(1, 12);
  });

  it('decides whether they agree', () => {
    expect(agreement(0.3, 0.049).agrees).toBe(true);
    expect(agreement(0.3, 0.051).agrees).toBe(false);
    expect(agreement(0).tolerance).toBe(0);
  });

  it('gives no verdict where the ends of the interval are known less well than that', () => {
    // Standard error of a normal quantile: √(p(1 − p)/n)/φ(z); at p = 0.025, z = 1.96, φ = 0.05845: 2.671/√n (David & Nagaraja, Order
    // Statistics, ch. 10, from memory). δ = 0.05, so for a deviation of 0.3 it takes (2.671·0.3/0.05)² = 257 samples.
    expect(agreement(0.3, 0, { error: 0.3, samples: 256 }).agrees).toBeNull();
    expect(agreement(0.3, 0, { error: 0.3, samples: 258 }).agrees).toBe(true);
    expect(agreement(0.3, 0, { error: 0.3, samples: 258 }).intervalError).toBeCloseTo(0.0499, 4);
  });
});
