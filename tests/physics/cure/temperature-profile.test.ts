import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import {
  effectiveAge,
  requireTemperatureProfile,
  temperatureAt,
} from '../../../src/physics/cure/temperature-profile.ts';

/** ∫₀^h f dx by Simpson's rule, in the test and of another order than the code. */
function simpson(f: (x: number) => number, a: number, b: number, halves: number): number {
  const h = (b - a) / (2 * halves);
  let sum = f(a) + f(b);
  for (let i = 1; i < 2 * halves; i++) sum += f(a + i * h) * (i % 2 === 1 ? 4 : 2);
  return (sum * h) / 3;
}

const FREEZER = [
  [60, 253.15],
  [1860, 293.15],
  [2400, 303.15],
] as const;

describe('temperatureAt', () => {
  it('is straight between the points and held before and after', () => {
    expect(temperatureAt(300, 1e6)).toBe(300);
    expect(temperatureAt(FREEZER, 0)).toBe(253.15);
    expect(temperatureAt(FREEZER, 960)).toBeCloseTo(273.15, 12); // half way from 60 s to 1860 s
    expect(temperatureAt(FREEZER, 2130)).toBeCloseTo(298.15, 12);
    expect(temperatureAt(FREEZER, 9999)).toBe(303.15);
  });
});

describe('effectiveAge', () => {
  const E = 60e3;
  const R = 8.31446261815324;

  it('is the age itself at the reference temperature, and without an activation energy at any', () => {
    const at = (activationEnergy: number, temperature: number) =>
      effectiveAge({ activationEnergy, referenceTemperature: 298.15, temperature }).at(1234);
    expect(at(E, 298.15)).toBe(1234);
    expect(at(0, 350)).toBe(1234);
  });

  it('follows Arrhenius at another constant temperature', () => {
    const age = effectiveAge({ activationEnergy: E, referenceTemperature: 298.15, temperature: 308.15 });
    // 60e3/8.31446·(1/298.15 − 1/308.15) = 0.785463 → factor 2.19342 by hand
    expect(age.at(100) / 100).toBeCloseTo(Math.exp((E / R) * (1 / 298.15 - 1 / 308.15)), 12);
    expect(age.at(100) / 100).toBeCloseTo(2.1934, 3);
  });

  it('integrates along slopes and holds', () => {
    const age = effectiveAge({ activationEnergy: E, referenceTemperature: 298.15, temperature: FREEZER });
    const rate = (t: number) => Math.exp((-E / R) * (1 / temperatureAt(FREEZER, t) - 1 / 298.15));
    // Simpson piece by piece; its error with 2000 pieces is below 1e-12.
    const upTo = (to: number) =>
      [0, 60, 1860, 2400, 1e5].reduce((sum, from, i, all) => {
        const end = Math.min(to, all[i + 1] ?? to);
        return end > from ? sum + simpson(rate, from, end, 2000) : sum;
      }, 0);
    for (const to of [30, 60, 700, 1860, 2000, 2400, 5000]) expect(age.at(to) / upTo(to) - 1).toBeCloseTo(0, 10);
  });

  it('agrees with the exponential integral along one slope', () => {
    // ∫ e^(−E/RT) dt = (1/β)·[T·e^(−x) − (E/R)·E₁(x)], x = E/(R·T); E₁ by its continued fraction
    const e1 = (x: number) => {
      let fraction = 0;
      for (let k = 200; k >= 1; k--) fraction = k / (1 + k / (x + fraction));
      return Math.exp(-x) / (x + fraction);
    };
    const primitive = (T: number) => T * Math.exp(-E / (R * T)) - (E / R) * e1(E / (R * T));
    const profile = [
      [0, 250],
      [1000, 320],
    ] as const;
    const expected = ((primitive(320) - primitive(250)) / 0.07) * Math.exp(E / (R * 298.15));
    const got = effectiveAge({ activationEnergy: E, referenceTemperature: 298.15, temperature: profile }).at(1000);
    expect(got / expected - 1).toBeCloseTo(0, 11); // the difference above cancels about two digits
  });

  it('finds the age back', () => {
    const age = effectiveAge({ activationEnergy: E, referenceTemperature: 298.15, temperature: FREEZER });
    for (const t of [0, 10, 60, 61, 900, 1860, 2399, 2400, 8000]) expect(age.ageOf(age.at(t))).toBeCloseTo(t, 8);
  });

  it('refuses profiles that make no sense', () => {
    expect(() => requireTemperatureProfile([])).toThrow(DomainError);
    expect(() => requireTemperatureProfile(0)).toThrow(DomainError);
    expect(() =>
      requireTemperatureProfile([
        [10, 300],
        [10, 310],
      ]),
    ).toThrow(DomainError);
    expect(() => requireTemperatureProfile([[10, Number.NaN]])).toThrow(DomainError);
  });
});
