import { describe, expect, test } from 'vitest';
import { type ReleaseOptions, release } from '../../../src/analysis/release/release.ts';
import { type JudgedInput, judge } from '../../../src/analysis/release/release-decision.ts';
import { evidenceOf, readingsToSettle } from '../../../src/analysis/release/release-evidence.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const density = 1150;
/** Newtonian, ideal air, no friction, no ageing: the shot is in proportion to the dwell. */
const recipe = exampleRecipe({
  'needle.bore': 0.41e-3,
  'resin.cure': { model: 'none' },
  'station.syringe.plunger_friction': 0,
});
const codes = (findings: readonly { code: string }[]) => findings.map(f => f.code);
const conditions = { age: 720, temperature: 296.15 };
const aim = release(recipe, { masses: [1e-5], shots: 5 }).result!.aim_uL * 1e-9; // [m³]
/** Weighings of five shots whose mean shot is so many times the aim. */
const masses = (...factors: number[]): ReleaseOptions => ({
  ...conditions,
  shots: 5,
  masses: factors.map(f => 5 * density * aim * f),
});

describe('evidence', () => {
  test('a t-interval of the readings where they share nothing', () => {
    // 10, 11, 12: mean 11, s = 1; t(0.975, 2) = 4.302653 (t table); half-width 4.302653/√3.
    const e = evidenceOf({ volumes: [10, 11, 12], shared: [] }, 0);
    expect(e.mean).toBeCloseTo(11, 12);
    expect(e.halfWidth).toBeCloseTo(4.302653 / Math.sqrt(3), 6);
    expect(e.degreesOfFreedom).toBeCloseTo(2, 9);
  });

  test('what all readings share is not averaged out', () => {
    // No scatter, 3 % shared: U = 1.959964·0.03·mean whatever the number (normal table).
    for (const volumes of [[2], [2, 2], [2, 2, 2, 2, 2]]) {
      const e = evidenceOf({ volumes, shared: [{ cause: 'reading', relative: 0.03 }] }, 0);
      expect(e.halfWidth).toBeCloseTo(1.959964 * 0.06, 6);
    }
  });

  test('both together, by hand (JCGM 100 G.4.1)', () => {
    // s/√n = 1/√3, shared 0.05·11 = 0.55: u² = 1/3 + 0.3025, ν = u⁴/((1/3)²/2).
    const e = evidenceOf({ volumes: [10, 11, 12], shared: [{ cause: 'reading', relative: 0.05 }] }, 0);
    const variance = 1 / 3 + 0.3025;
    expect(e.uncertainty ** 2).toBeCloseTo(variance, 12);
    expect(e.degreesOfFreedom).toBeCloseTo(variance ** 2 / ((1 / 3) ** 2 / 2), 9);
  });

  test('one reading takes the scatter that the recipe predicts', () => {
    const e = evidenceOf({ volumes: [2], shared: [] }, 0.04);
    expect(e.scatter).toBeNull();
    expect(e.halfWidth).toBeCloseTo(1.959964 * 0.08, 6);
  });

  test('readings to settle: the least count whose t-interval fits, tried one by one', () => {
    // s = 1, mean 10, room ±1: n with t(0.975, n−1)/√n ≤ 1: 7 gives 2.4469/√7 = 0.925, 6 gives 2.5706/√6 = 1.049.
    const e = evidenceOf({ volumes: [9, 10, 11], shared: [] }, 0);
    expect(readingsToSettle(e, { mean: 10, min: 9, max: 11 })).toBe(7 - 3);
    const blurred = evidenceOf({ volumes: [9, 10, 11], shared: [{ cause: 'reading', relative: 0.1 }] }, 0);
    expect(readingsToSettle(blurred, { mean: 10, min: 9, max: 11 })).toBeNull(); // 1.96·10 % alone is too wide
  });
});

describe('the rule', () => {
  const input = (p: Partial<JudgedInput>): JudgedInput => ({
    mean: 100,
    halfWidth: 5,
    window: { min: 80, max: 120 },
    aim: 100,
    tolerance: 0.1,
    trimLimit: 0.25,
    dwellEnds: { min: 0.05, max: 99 },
    // In proportion, on steps of 0.01 s, from 0.5 s.
    trim: { dwell: 0.5, before: 0.5, delivered: p.mean ?? 100 },
    ...p,
  });
  const trimmed = (mean: number, more: Partial<JudgedInput> = {}) => {
    const dwell = Math.round((0.5 * 100) / mean / 0.01) * 0.01;
    return judge(input({ mean, trim: { dwell, before: 0.5, delivered: (mean * dwell) / 0.5 }, ...more }));
  };

  test.each([
    // mean, half-width, decision: window 80 to 120, aim 100 ± 10 %, trim to a quarter
    [100, 5, 'use'],
    [110, 10, 'use'], // both limits inclusive: 120 and 10 %
    [110.1, 5, 'use with trim'],
    [89, 5, 'use with trim'],
    [105, 16, 'use with trim'], // 121 reaches outside, 100 ± 15.2 does not
    [100, 21, 'reject'], // no trim narrows the interval
    [79, 1, 'reject'], // 100/79 − 1 = 26.6 %
    [81, 1, 'use with trim'],
    [134, 1, 'reject'], // 100/134 − 1 = −25.4 %
    [133, 1, 'use with trim'],
  ])('mean %d ± %d: %s', (mean, halfWidth, decision) => {
    expect(trimmed(mean, { halfWidth }).decision).toBe(decision);
  });

  test('only what was not shown either way is undecided', () => {
    expect(trimmed(100, { halfWidth: 21 })).toMatchObject({ undecided: true, trim: null });
    expect(trimmed(60)).toMatchObject({ undecided: false, decision: 'reject' });
    expect(trimmed(60).reasons.join(' ')).toMatch(/40 % below the aim.*25 % at most/);
  });

  test('a dwell outside the limits of the station is no trim', () => {
    const judged = trimmed(85, { dwellEnds: { min: 0.05, max: 0.55 } });
    expect(judged).toMatchObject({ decision: 'reject', trim: null, undecided: false });
    expect(judged.reasons.join(' ')).toContain('the station allows 0.05 s to 0.55 s');
  });

  test('steps too coarse for the aim are said', () => {
    const judged = judge(input({ mean: 85, trim: { dwell: 1, before: 0.5, delivered: 170 } }));
    expect(judged.decision).toBe('reject');
    expect(judged.reasons.join(' ')).toContain('70 % from the aim');
  });

  test('without a tolerance the window alone decides', () => {
    expect(trimmed(112, { tolerance: null, halfWidth: 5 }).decision).toBe('use');
  });
});

describe('release', () => {
  test('weighings at the aim: use, with nothing to say', () => {
    const { result, findings } = release(recipe, masses(0.99, 1, 1.01));
    expect(result).toMatchObject({ decision: 'use', trim: null, undecided: false, more_readings: null });
    expect(result!.mean_uL).toBeCloseTo(aim * 1e9, 9);
    // s = 1 %, t(0.975, 2) = 4.302653.
    expect(result!.interval_uL[1] / result!.mean_uL - 1).toBeCloseTo((4.302653 * 0.01) / Math.sqrt(3), 6);
    expect(findings).toEqual([]);
  });

  test('a thick syringe: the trim brings it to the aim on the steps of the station', () => {
    const { result } = release(recipe, masses(0.84, 0.85, 0.86));
    const { dwell } = recipe.settings!;
    const wanted = Math.round(dwell!.value / 0.85 / 0.01) * 0.01; // in proportion: Newtonian, ideal air
    expect(result!.decision).toBe('use with trim');
    expect(result!.trim!.dwell_s).toBeCloseTo(wanted, 9);
    expect(result!.trim!.factor).toBeCloseTo(wanted / dwell!.value, 9);
    expect(result!.trim!.mean_uL / result!.aim_uL).toBeCloseTo((0.85 * wanted) / dwell!.value, 6);
    expect(result!.implied_viscosity_factor).toBeCloseTo(result!.predicted_uL! / result!.mean_uL, 12);
  });

  test('a dead time of the calibration is not scaled with the shot', () => {
    const dead = exampleRecipe({
      'needle.bore': 0.41e-3,
      'calibration.dead_time': 0.1,
      'resin.cure': { model: 'none' },
    });
    const { result } = release(dead, masses(0.85, 0.85, 0.85));
    const open = dead.settings!.dwell!.value - 0.1;
    expect(result!.trim!.dwell_s).toBeCloseTo(Math.round((0.1 + open / 0.85) / 0.01) * 0.01, 9);
  });

  test('dots: the volume of the drop, with a misreading that is shared and rectangular', () => {
    const { result } = release(recipe, { ...conditions, dots: [4.2e-3, 4.2e-3, 4.2e-3], shots: 2 });
    const wider = release(recipe, { ...conditions, dots: [4.3e-3], shots: 2 }).result!;
    const misread = wider.mean_uL / result!.mean_uL - 1; // 0.1 mm, the recipe's reading error
    const reading = result!.uncertainty.shared.find(s => s.cause === 'reading')!;
    expect(reading.relative_pct).toBeCloseTo((100 * misread) / Math.sqrt(3), 9);
    expect(result!.uncertainty.combined_pct).toBeCloseTo(reading.relative_pct, 9);
    // About three times the error of the diameter (design of a cap): (1 + 0.1/4.2)³ − 1.
    expect(misread).toBeCloseTo((1 + 0.1 / 4.2) ** 3 - 1, 2);
  });

  test('a dot that keeps the shape in which it was laid is warned of, one of calibration pairs is not', () => {
    const stiff = exampleRecipe({
      'resin.rheology': { model: 'bingham', yield_stress: 90, viscosity: 2 }, // above 2γ/b + ρgh of such a dot, some 40 Pa
    });
    const dots = { ...conditions, dots: [3.3e-3, 3.3e-3] };
    expect(codes(release(stiff, dots).findings)).toContain('dot-does-not-relax');
    expect(codes(release(recipe, dots).findings)).not.toContain('dot-does-not-relax');
  });

  test('a balance counts with two roundings', () => {
    const exact = release(recipe, masses(1, 1, 1)).result!;
    const coarse = release(recipe, { ...masses(1, 1, 1), readability: 1e-6 }).result!;
    expect(exact.uncertainty.combined_pct).toBe(0);
    const mass = 5 * density * aim;
    expect(coarse.uncertainty.combined_pct).toBeCloseTo((100 * Math.hypot(1e-6, 1e-6)) / Math.sqrt(12) / mass, 9);
  });

  test('scattered readings reject, and say how many more would settle it', () => {
    const few = masses(0.8, 1.2);
    const { result, findings } = release(recipe, few);
    expect(result).toMatchObject({ decision: 'reject', undecided: true });
    expect(codes(findings)).toContain('release-undecided');
    const many = masses(
      ...few.masses!.map(m => m / (5 * density * aim)),
      ...Array.from({ length: result!.more_readings! }, (_, i) => (i % 2 ? 1.2 : 0.8)),
    );
    expect(release(recipe, many).result!.undecided).toBe(false);
  });

  test('what is missing is said at its key, all at once', () => {
    const bare = exampleRecipe({ 'resin.density': null, settings: null });
    const { result, findings } = release(bare, { masses: [1e-5] });
    expect(result).toBeNull();
    expect(findings.filter(f => f.code === 'block-missing').map(f => f.path)).toEqual(
      expect.arrayContaining(['resin.density', 'settings.pressure', 'settings.dwell']),
    );
    const noConnector = exampleRecipe({ connector: null });
    expect(release(noConnector, { masses: [1e-5] }).findings.map(f => f.path)).toContain('connector');
  });

  test('without a flow model the trim is in proportion, with a warning', () => {
    const plain = exampleRecipe({ 'resin.rheology': null });
    const { result, findings } = release(plain, masses(0.85, 0.85, 0.85));
    expect(result).toMatchObject({ decision: 'use with trim', predicted_uL: null, implied_viscosity_factor: null });
    expect(result!.trim!.dwell_s).toBeCloseTo(Math.round(plain.settings!.dwell!.value / 0.85 / 0.01) * 0.01, 9);
    expect(codes(findings)).toContain('release-trim-proportional');
  });

  test('age, temperature and a single reading are warned of; an impossible dot is an error', () => {
    expect(codes(release(recipe, { masses: [1e-5], shots: 5 }).findings)).toEqual(
      expect.arrayContaining(['release-conditions', 'release-one-reading']),
    );
    const { result, findings } = release(recipe, { ...conditions, dots: [3.3e-3, 40] });
    expect(result).toBeNull();
    expect(findings.find(f => f.code === 'release-reading')!.message).toContain('dot 2');
  });
});
