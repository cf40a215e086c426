import { describe, expect, test } from 'vitest';
import { DomainError } from '../../src/numeric/domain-error.ts';
import { modifiedBesselRatios } from '../../src/numeric/modified-bessel.ts';

/**
 * e^(−x)·Iν(x) = (1/π)·∫₀^π e^(x·(cos t − 1))·cos(νt) dt (Abramowitz & Stegun 9.6.19). The trapezoidal rule on a smooth
 * periodic function is exact to rounding with this many points.
 */
function scaledBessel(order: number, x: number): number {
  const n = 2000;
  let sum = 0;
  for (let i = 0; i <= n; i++) {
    const t = (Math.PI * i) / n;
    sum += (i === 0 || i === n ? 0.5 : 1) * Math.exp(x * (Math.cos(t) - 1)) * Math.cos(order * t);
  }
  return sum / n;
}

describe('modifiedBesselRatios', () => {
  test('gives the values of the handbook', () => {
    // Abramowitz & Stegun, table 9.8 (from memory, ten digits): I0(1) = 1.2660658778, I1(1) = 0.5651591040
    const at1 = modifiedBesselRatios(1);
    expect(1 / at1.inverseI1).toBeCloseTo(0.565159104, 9);
    expect(at1.i0OverI1 / at1.inverseI1).toBeCloseTo(1.2660658778, 9);
  });

  test.each([0.3, 1, 4, 11, 19.99, 20.01, 40, 300])('agrees with the integral at x = %d', x => {
    const [i0, i1, i2] = [0, 1, 2].map(order => scaledBessel(order, x)) as [number, number, number];
    const ratios = modifiedBesselRatios(x);
    expect(ratios.i0OverI1 / (i0 / i1)).toBeCloseTo(1, 12); // 1e-12: rounding of 2000 terms
    expect(ratios.i2OverI1 / (i2 / i1)).toBeCloseTo(1, 12);
    expect(ratios.inverseI1 / (Math.exp(-x) / i1)).toBeCloseTo(1, 11);
    expect(ratios.i0Minus1OverI1 / ((i0 - Math.exp(-x)) / i1)).toBeCloseTo(1, 12);
  });

  test('keeps the leading terms at very small x: I1 = x/2, I0 − 1 = x²/4, I2 = x²/8', () => {
    const x = 1e-9;
    const ratios = modifiedBesselRatios(x);
    expect(ratios.inverseI1 * (x / 2)).toBeCloseTo(1, 15);
    expect(ratios.i0Minus1OverI1 / (x / 2)).toBeCloseTo(1, 15);
    expect(ratios.i2OverI1 / (x / 4)).toBeCloseTo(1, 15);
  });

  test('runs out to zero instead of overflowing, and I0/I1 tends to 1 + 1/(2x)', () => {
    const ratios = modifiedBesselRatios(2000);
    expect(ratios.inverseI1).toBe(0);
    expect(ratios.i0OverI1).toBeCloseTo(1 + 1 / 4000, 6);
  });

  test.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('refuses x = %d', x => {
    expect(() => modifiedBesselRatios(x)).toThrow(DomainError);
  });
});
