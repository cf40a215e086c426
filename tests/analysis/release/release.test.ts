import { describe, expect, test } from 'vitest';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { programRun } from '../../../src/analysis/ramp/program-run.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { type ReleaseOptions, release } from '../../../src/analysis/release/release.ts';
import { type JudgedTrim, judge, type Reason } from '../../../src/analysis/release/release-decision.ts';
import {
  contentOf,
  evidenceOf,
  readingsToSettle,
  scatterTest,
  wideAt,
} from '../../../src/analysis/release/release-evidence.ts';
import type { JudgedRun } from '../../../src/analysis/release/shots-left.ts';
import { spreadShare } from '../../../src/physics/drop/dot-spreading.ts';
import { dropFromVolume } from '../../../src/physics/drop/drop.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const density = 1150;
/** Newtonian, ideal air, no friction, no ageing: the shot is in proportion to the dwell, and the same from first to last. */
const flat = (more: Record<string, unknown> = {}) =>
  exampleRecipe({
    'needle.bore': 0.41e-3,
    'resin.cure': { model: 'none' },
    'settings.ramp': null,
    'settings.dwell': 0.52,
    'station.syringe.plunger_friction': 0,
    'station.syringe.fill': 0.4e-6,
    ...more,
  });
const recipe = flat();
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
  });

  test('what all readings share is not averaged out', () => {
    // No scatter, 3 % shared: U = 1.959964·0.03·mean whatever the number (normal table).
    for (const volumes of [[2], [2, 2], [2, 2, 2, 2, 2]]) {
      const e = evidenceOf({ volumes, shared: [{ cause: 'reading', relative: 0.03 }] }, 0);
      expect(e.halfWidth).toBeCloseTo(1.959964 * 0.06, 6);
    }
  });

  test('both together, by hand, each at its own factor', () => {
    // s/√n = 1/√3 at t(0.975, 2) = 4.302653, shared 0.05·11 = 0.55 at 1.959964 (t and normal table).
    const e = evidenceOf({ volumes: [10, 11, 12], shared: [{ cause: 'reading', relative: 0.05 }] }, 0);
    const variance = 1 / 3 + 0.3025;
    expect(e.uncertainty ** 2).toBeCloseTo(variance, 12);
    expect(e.halfWidth).toBeCloseTo(Math.hypot(4.302653 / Math.sqrt(3), 1.959964 * 0.55), 5);
  });

  test('one reading takes the scatter that the recipe predicts', () => {
    const e = evidenceOf({ volumes: [2], shared: [] }, 0.04);
    expect(e.scatter).toBeNull();
    expect(e.halfWidth).toBeCloseTo(1.959964 * 0.08, 6);
    expect(wideAt(e, 2)).toBeCloseTo(2 * 1.959964 * 0.08, 6);
  });

  test('and says so, with how wide the interval would be at the scatter that three readings still pass', () => {
    // χ² of 0.99 on two degrees of freedom is −2·ln 0.01 = 9.2103: √(9.2103/2) = 2.146 times
    const { findings, result } = release(recipe, { ...conditions, masses: [1e-5], shots: 5 });
    const { message } = findings.find(f => f.code === 'release-one-reading')!;
    expect(message).toContain('assumed, not seen');
    expect(message).toContain('2.1 times');
    const [wider, now] = [...message.matchAll(/± ([\d.]+) %/g)].map(match => Number(match[1]));
    const own = (1.959964 * result!.scatter.predicted_rel) ** 2;
    const half = (result!.interval_uL[1] - result!.interval_uL[0]) / 2 / result!.mean_uL;
    expect(now! / (100 * half)).toBeCloseTo(1, 1);
    expect(wider! / (100 * Math.sqrt(half ** 2 + (9.2103 / 2 - 1) * own))).toBeCloseTo(1, 1);
  });

  test('readings to settle: the least count whose t-interval fits, tried one by one', () => {
    // s = 1, mean 10, room ±1: n with t(0.975, n−1)/√n ≤ 1: 7 gives 2.4469/√7 = 0.925, 6 gives 2.5706/√6 = 1.049.
    const e = evidenceOf({ volumes: [9, 10, 11], shared: [] }, 0);
    const room = (relative: number) => relative <= 0.1;
    expect(readingsToSettle(e, room)).toBe(7 - 3);
    const blurred = evidenceOf({ volumes: [9, 10, 11], shared: [{ cause: 'reading', relative: 0.1 }] }, 0);
    expect(readingsToSettle(blurred, room)).toBeNull(); // 1.96·10 % alone is too wide
  });

  test('scatter beyond the predicted: the upper tail of χ² by its closed form for two degrees of freedom, exp(−x/2)', () => {
    const e = evidenceOf({ volumes: [9, 10, 11], shared: [] }, 0); // s = 1, 10 % of the mean
    const { observed, p } = scatterTest(e, 0.05);
    expect(observed).toBeCloseTo(0.1, 12);
    expect(p).toBeCloseTo(Math.exp((-2 * (0.1 / 0.05) ** 2) / 2), 12);
    expect(scatterTest(evidenceOf({ volumes: [2], shared: [] }, 0), 0.05)).toMatchObject({ observed: null, p: null });
    expect(scatterTest(evidenceOf({ volumes: [2, 2], shared: [] }, 0), 0).p).toBe(1);
  });

  test('content: mean ± k·s·√shots, k(3) of 95 % in 95 % between those of 90 % and 99 % printed by Berthouex & Brown', () => {
    // Statistics for Environmental Engineers, table 21.1: n = 10 has K = 3.39
    const volumes = [9, 9, 9, 9, 9, 11, 11, 11, 11, 11]; // mean 10, s = √(10/9)
    const [low, high] = contentOf(evidenceOf({ volumes, shared: [] }, 0), 4)!;
    expect(high - 10).toBeCloseTo(3.39 * Math.sqrt(10 / 9) * 2, 1);
    expect(10 - low).toBeCloseTo(high - 10, 9);
    expect(contentOf(evidenceOf({ volumes: [2], shared: [] }, 0), 4)).toBeNull();
  });
});

/** A run whose shots are so many, each with its interval [-], as parts of an aim of 100. */
const run = (...shots: [estimate: number, halfWidth: number][]): JudgedRun => ({
  shots: shots.map((_, i) => ({ shot: i + 1, age: 60 * i, dispensed: 0 })),
  estimate: shots.map(([estimate]) => estimate),
  most: shots.map(([estimate, half]) => estimate + half),
  least: shots.map(([estimate, half]) => estimate - half),
});
const target = { window: { min: 80, max: 120 }, aim: 100, tolerance: 0.1 };
const decide = (force: JudgedRun, trim: JudgedTrim | null = null, faults: readonly Reason[] = []) =>
  judge({ faults, force, trim: () => trim, trimLimit: 0.25, target });
const trimOf = (factor: number, made: JudgedRun): JudgedTrim => ({ factor, run: made, dwell: 0.6, before: 0.5 });

describe('the rule', () => {
  test.each([
    // window 80 to 120, aim 100 ± 10 %, one shot left and no trim to be had
    [100, 5, 'use'],
    [110, 10, 'use'], // both limits inclusive: 120 and 10 %
    [110.1, 5, 'reject'],
    [105, 16, 'reject'], // 121 reaches outside
  ])('%d ± %d: %s', (estimate, half, decision) => {
    expect(decide(run([estimate, half])).decision).toBe(decision);
  });

  test('one shot out of many is enough against a program, and is named', () => {
    const { reasons } = decide(run([100, 5], [95, 5], [88, 5]));
    expect(reasons[0]).toMatchObject({ code: 'tolerance' });
    expect(reasons[0]!.text).toContain('shot 3 (age 2 min) is 12 % below the aim');
  });

  test.each([
    [1.25, [100, 5], 'use with trim'],
    [0.75, [100, 5], 'use with trim'],
    [1.251, [100, 5], 'reject'],
    [1.1, [100, 21], 'reject'], // no trim narrows the interval
    [1.1, [111, 5], 'reject'], // the best program misses the tolerance
  ] as const)('trimmed by %d to %j: %s', (factor, [estimate, half], decision) => {
    expect(decide(run([85, 1]), trimOf(factor, run([estimate, half]))).decision).toBe(decision);
  });

  test('only what was not shown either way is undecided', () => {
    expect(decide(run([100, 21]), trimOf(1, run([100, 21])))).toMatchObject({ decision: 'reject', undecided: true });
    expect(decide(run([85, 1]), trimOf(1.4, run([100, 1])))).toMatchObject({ decision: 'reject', undecided: false });
  });

  test('a fault decides before any program, with its reason', () => {
    const stop: Reason = { code: 'stop', text: 'too old' };
    expect(decide(run([100, 1]), null, [stop])).toEqual({ decision: 'reject', reasons: [stop], undecided: false });
  });

  test('without a tolerance the window alone decides', () => {
    const wide = { ...target, tolerance: null };
    const force = run([115, 4]);
    expect(judge({ faults: [], force, trim: () => null, trimLimit: 0.25, target: wide }).decision).toBe('use');
  });
});

describe('release', () => {
  test('weighings at the aim: use, with nothing to say', () => {
    const { result, findings } = release(recipe, masses(0.995, 1, 1.005));
    expect(result).toMatchObject({ decision: 'use', trim: null, undecided: false, more_readings: null });
    expect(result!.mean_uL).toBeCloseTo(aim * 1e9, 9);
    // s = 0.5 %, t(0.975, 2) = 4.302653.
    expect(result!.interval_uL[1] / result!.mean_uL - 1).toBeCloseTo((4.302653 * 0.005) / Math.sqrt(3), 6);
    expect(findings).toEqual([]);
  });

  test('thickness: predicted over measured where the shot is in proportion to the flow, and its interval turned over', () => {
    const { thickness, predicted_uL, mean_uL, interval_uL } = release(recipe, masses(0.85, 0.85, 0.855)).result!;
    expect(thickness!.estimate).toBeCloseTo(predicted_uL! / mean_uL, 9);
    expect(thickness!.low).toBeCloseTo(predicted_uL! / interval_uL[1], 9);
    expect(thickness!.high).toBeCloseTo(predicted_uL! / interval_uL[0], 9);
  });

  test('a thick syringe: its program brings it to the aim on the steps of the station', () => {
    const { result } = release(recipe, masses(0.85, 0.85, 0.855));
    const { dwell } = recipe.settings!;
    const exact = dwell!.value / (result!.mean_uL / result!.aim_uL); // in proportion: Newtonian, ideal air
    const wanted = Math.round(exact / 0.01) * 0.01;
    const { trim } = result!;
    expect(result!.decision).toBe('use with trim');
    expect(trim).toMatchObject({ factor: expect.closeTo(exact / dwell!.value, 9), end: { reason: 'syringe' } });
    expect(trim!.dwell_s).toBeCloseTo(wanted, 9);
    expect(trim!.worst_error_pct).toBeCloseTo(100 * Math.abs(wanted / exact - 1), 6);
    expect(trim!.program.stages).toEqual([expect.objectContaining({ from_shot: 1, add_s: 0 })]);
    expect(result!.program).toEqual(trim!.program);
  });

  test('a dead time of the calibration is not scaled with the shot', () => {
    const dead = flat({ 'calibration.dead_time': 0.1 });
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
    const shared = result!.uncertainty.shared.map(s => s.relative_pct);
    expect(result!.uncertainty.combined_pct).toBeCloseTo(Math.hypot(...shared), 9);
    // About three times the error of the diameter (design of a cap): (1 + 0.1/4.2)³ − 1.
    expect(misread).toBeCloseTo((1 + 0.1 / 4.2) ** 3 - 1, 2);
  });

  test('dots that still spread: read at their own age, with the doubt of the spreading law in the interval', () => {
    const at = (more: Record<string, unknown>, age = 720) =>
      release(flat({ 'resin.cure': { model: 'pot-life', time: 3600, factor: 2 }, 'settings.ramp': null, ...more }), {
        ...{ age, temperature: 296.15, dots: [4.2e-3, 4.2e-3], shots: 2 },
      }).result!;
    const rest = at({ 'resin.dot.read_after': null });
    const [fresh, old] = [at({}), at({}, 2400)];
    expect(rest.uncertainty.shared.map(s => s.cause)).toEqual(['reading']);
    // By the law itself: R(20 s)/R(∞) of the dot that was found is the factor between the two diameters.
    const volume = fresh.mean_uL * 2e-9;
    const viscosity = 2.4 * Math.exp((60e3 / 8.31446261815324) * (1 / 296.15 - 1 / 298.15)) * 2 ** (12 / 60);
    const share = spreadShare({
      ...{ volume, viscosity, surfaceTension: 42e-3, contactAngle: (32 * Math.PI) / 180, spreadLog: 10, time: 20 },
    });
    const drop = { density, surfaceTension: 42e-3, contactAngle: (32 * Math.PI) / 180 };
    expect((dropFromVolume({ ...drop, volume }).seenDiameter * share) / 4.2e-3).toBeCloseTo(1, 5);
    expect(fresh.mean_uL).toBeGreaterThan(rest.mean_uL * 1.02);
    expect(old.mean_uL).toBeGreaterThan(fresh.mean_uL * 1.02);
    // One standard uncertainty of Λ, 2.5 of 10, by reading once more with it.
    const spreading = fresh.uncertainty.shared.find(s => s.cause === 'spreading')!;
    const [less, more] = [7.5, 12.5].map(log => at({ 'resin.dot.spread_log': log }).mean_uL);
    expect(spreading.relative_pct / (50 * (more! / less! - 1))).toBeCloseTo(1, 1);
    const sure = at({ 'resin.dot.spread_log': 10 });
    expect(sure.mean_uL).toBeCloseTo(fresh.mean_uL, 9);
    expect(sure.uncertainty.shared.map(s => s.cause)).toEqual(['reading']);
    expect(sure.interval_uL[0]).toBeGreaterThan(fresh.interval_uL[0]);
  });

  test('more dots do not shrink what one eye misreads', () => {
    const few = release(recipe, { ...conditions, dots: [4.2e-3, 4.2e-3], shots: 2 }).result!;
    const many = release(recipe, { ...conditions, dots: new Array(20).fill(4.2e-3), shots: 2 }).result!;
    expect(many.interval_uL).toEqual([expect.closeTo(few.interval_uL[0], 9), expect.closeTo(few.interval_uL[1], 9)]);
  });

  test('dots typed more coarsely than they are misread count with their last digit', () => {
    const dots = { ...conditions, dots: [4e-3, 4e-3], shots: 2 };
    const reading = (lastDigit: number) => release(recipe, { ...dots, lastDigit }).result!.uncertainty.combined_pct;
    expect(reading(1e-5)).toBe(release(recipe, dots).result!.uncertainty.combined_pct);
    expect(reading(1e-3) / reading(1e-4)).toBeGreaterThan(4); // half a millimetre in place of 0.1 mm
  });

  test('the shots on a dot are those of the gauge where nothing is said, and of a weighing one', () => {
    const onCircle = gauge(recipe).result!.shots_per_circle;
    expect(onCircle).toBeGreaterThan(1);
    const dots = release(recipe, { ...conditions, dots: [6e-3, 6e-3] }).result!;
    expect(dots.shots_per_reading).toBe(onCircle);
    expect(dots.defaults.join()).toContain(`shots: ${onCircle} on a dot`);
    expect(release(recipe, { ...conditions, masses: [2e-6] }).result!.shots_per_reading).toBe(1);
  });

  test('readings of another number of shots are noticed', () => {
    const single = gauge(recipe, { shots: 1 }).result!.shot.diameter_mm / 1e3;
    const { findings } = release(recipe, { ...conditions, dots: [single, single, single] });
    expect(findings.find(f => f.code === 'release-shots')?.message).toContain('holds about 1 of the aim');
    const three = { ...conditions, masses: [3 * density * aim, 3 * density * aim] };
    expect(release(recipe, three).findings.find(f => f.code === 'release-shots')?.help).toContain('`--shots 3`');
    expect(codes(release(recipe, masses(0.8, 0.8)).findings)).not.toContain('release-shots');
  });

  test('a dot that keeps the shape in which it was laid is warned of, one of calibration pairs is not', () => {
    const stiff = flat({
      'resin.rheology': { model: 'bingham', yield_stress: 90, viscosity: 2 }, // above 2γ/b + ρgh of such a dot, some 40 Pa
    });
    const dots = { ...conditions, dots: [3.3e-3, 3.3e-3], shots: 1 };
    expect(codes(release(stiff, dots).findings)).toContain('dot-does-not-relax');
    expect(codes(release(recipe, dots).findings)).not.toContain('dot-does-not-relax');
  });

  test('a balance counts with two roundings, of its step or of the last digit', () => {
    const exact = release(recipe, masses(1, 1, 1)).result!;
    const coarse = release(recipe, { ...masses(1, 1, 1), readability: 1e-6 }).result!;
    expect(exact.uncertainty.combined_pct).toBe(0);
    const mass = 5 * density * aim;
    expect(coarse.uncertainty.combined_pct).toBeCloseTo((100 * Math.hypot(1e-6, 1e-6)) / Math.sqrt(12) / mass, 9);
    const typed = release(recipe, { ...masses(1, 1, 1), lastDigit: 1e-6 }).result!;
    expect(typed.interval_uL).toEqual(coarse.interval_uL);
  });

  test('scatter that the recipe does not predict rejects', () => {
    const { result } = release(recipe, masses(0.8, 1.2, 0.85, 1.15));
    expect(result).toMatchObject({ decision: 'reject', undecided: false, reasons: [{ code: 'scatter' }] });
    expect(result!.scatter.p).toBeLessThan(0.01);
  });

  test('readings too coarse to show anything reject, and say how many more would settle it', () => {
    const loose = flat({ 'station.dwell.jitter': 0.2 }); // 19 % of the dwell: one shot says little
    const few = { ...conditions, shots: 1, masses: [0.8, 1.2].map(f => density * aim * f) };
    const { result, findings } = release(loose, few);
    expect(result).toMatchObject({ decision: 'reject', undecided: true });
    expect(codes(findings)).toContain('release-undecided');
    const more = Array.from({ length: result!.more_readings! }, (_, i) => (i % 2 ? 1.2 : 0.8));
    const settled = release(loose, { ...few, masses: [...few.masses, ...more.map(f => density * aim * f)] });
    expect(settled.result!.undecided).toBe(false);
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
    expect(result).toMatchObject({ decision: 'use with trim', predicted_uL: null, thickness: null });
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

describe('a check at any shot of the program', () => {
  const ageing = exampleRecipe({ 'station.syringe.fill': 0.5e-6 });
  const program = programRun(ageing).result!;
  /** Weighings of five shots, as the recipe has them at a shot, times a factor. */
  const at = (shot: number, factor: number, more: Partial<ReleaseOptions> = {}) => {
    const { volume } = program.shots[shot - 1]!;
    const mass = 5 * density * volume * factor;
    return release(ageing, { shot, temperature: 296.15, shots: 5, masses: [mass, mass], lastDigit: 1e-8, ...more });
  };

  test('a syringe that does what the recipe says is used, at any age', () => {
    for (const { shot } of program.shots.slice(0, -4)) {
      const { result, findings } = at(shot, 1);
      expect(result).toMatchObject({ decision: 'use', shot, reasons: [{ code: 'inside' }] });
      expect(result!.thickness!.estimate).toBeCloseTo(1, 9);
      expect(result!.age_min).toBeCloseTo(program.shots[shot - 1]!.age / 60, 9);
      expect(codes(findings)).toEqual(['cure-temperature']); // the pot life of the example is for 25 °C
    }
  });

  test('the age alone finds the shot, and stands for the resin where both are given', () => {
    const { age } = program.shots[29]!;
    const mass = 5 * density * program.shots[29]!.volume;
    const read = { temperature: 296.15, shots: 5, masses: [mass, mass], lastDigit: 1e-8 };
    expect(release(ageing, { ...read, age }).result).toMatchObject({ shot: 30, decision: 'use' });
    const later = release(ageing, { ...read, shot: 30, age: age + 300 }).result!;
    expect(later).toMatchObject({ shot: 30, age_min: (age + 300) / 60 });
    // five minutes older by the clock, and yet the same shot: thinner by 2^(5/60), to first order of the flow
    expect(later.thickness!.estimate).toBeCloseTo(2 ** (-5 / 60), 9);
  });

  test('the trimmed program is what ramp gives a resin of that thickness, from the shot on', () => {
    const { result } = at(1, 1 / 1.2);
    const alone = ramp(ageing, { lotFactor: 1.2 }).result!;
    expect(result!.decision).toBe('use with trim');
    expect(result!.trim!.program.stages).toEqual(alone.program.stages);
    expect(result!.trim!.worst_error_pct).toBeLessThan(4);
    const later = at(31, 1 / 1.2).result!.trim!;
    expect(later.program.stages[0]!.from_shot).toBe(31);
    expect(later.factor).toBeCloseTo((1.2 * alone.shots[30]!.dwell_s) / 1.2 / program.shots[30]!.dwell, 6);
    // with what the check used there is less left, and no shot is lost that is not made
    expect(later.end!.shot).toBeLessThanOrEqual(alone.end.shot);
  });

  test('what the old ramp would do to a trimmed first dwell is not what is judged', () => {
    // first dwell times 1.25 with the ramp of the recipe kept: its last shots get too little
    const { result } = at(1, 1 / 1.25);
    expect(result!.trim!.good_shots).toBe(result!.trim!.end!.shot);
  });

  test.each([
    ['past its viscosity factor', { age: 3700 }, 'stop'],
    ['in a syringe that has no connector left', { shot: 500 }, 'stop'],
    ['warmer than the process allows', { temperature: 298.25 }, 'conditions'],
  ])('resin %s: reject', (_, where, code) => {
    const mass = 5 * density * program.shots[0]!.volume;
    const { result } = release(ageing, { temperature: 296.15, shots: 5, masses: [mass, mass], ...where });
    expect(result).toMatchObject({ decision: 'reject', trim: null, program: null });
    expect(result!.reasons[0]!.code).toBe(code);
  });

  test('the limits themselves are inside', () => {
    const mass = 5 * density * program.shots[0]!.volume * 1.1;
    const warm = release(ageing, { shot: 1, temperature: 298.15, shots: 5, masses: [mass, mass], lastDigit: 1e-8 });
    expect(warm.result!.reasons.map(({ code }) => code)).not.toContain('conditions');
    expect(at(1, 1, { age: 3600 }).result!.reasons.map(({ code }) => code)).not.toContain('stop'); // 2^(60/60) = 2
  });

  test('resin past 90 % of its gel age is rejected, though nothing of it can be worked out', () => {
    // first order, half converted at an hour: 90 % of it are 54 min
    const kinetics = { A1: Math.LN2 / 3600, E1: 0, A2: 0, E2: 0, m: 1, n: 1, gel_conversion: 0.5, c1: 1, c2: 1 };
    const gelled = exampleRecipe({
      'resin.cure': { model: 'castro-macosko', ...kinetics },
      'process.stop_at': null,
    });
    for (const age of [55 * 60, 3 * 3600]) {
      const { result } = release(gelled, { age, temperature: 296.15, shots: 5, masses: [1e-5, 1e-5] });
      expect(result).toMatchObject({ decision: 'reject', reasons: [{ code: 'stop' }], thickness: null });
    }
  });

  test('another setting than the program is no fault: the thickness is read from it, the program is judged', () => {
    const mass = 5 * density * program.shots[0]!.volume;
    const twice = { dwell: 2 * program.shots[0]!.dwell };
    const read = { shot: 1, temperature: 296.15, shots: 5, masses: [2 * mass, 2 * mass], lastDigit: 1e-8 };
    const { result } = release(ageing, { ...read, ...twice });
    expect(result).toMatchObject({ decision: 'use', dwell_s: twice.dwell });
    expect(result!.thickness!.estimate).toBeCloseTo(1, 9); // ideal air: in proportion to the dwell
    const halved = release(ageing, { ...read, pressure: 2 * 210e3 - 3e3 }).result!; // net of 3 kPa friction: twice
    expect(halved).toMatchObject({ decision: 'use', pressure_kPa: 417 });
  });

  test('a given lot factor moves what is expected, and not what is measured', () => {
    const thick = at(1, 1 / 1.2, { lotFactor: 1.2 }).result!;
    expect(thick.thickness!.estimate).toBeCloseTo(1.2, 9);
    expect(thick.predicted_uL).toBeCloseTo(thick.mean_uL, 9);
    expect(thick.lot_factor).toBe(1.2);
  });

  test('the trim limit is a quarter, or 2.6 standard deviations of what a trim takes out', () => {
    const narrow = exampleRecipe({
      'station.syringe.fill': 0.5e-6,
      'resin.rheology.viscosity': 2.4,
      'process.temperature': 296.15,
      'needle.bore': 0.413e-3,
    });
    expect(release(narrow, masses(1, 1)).result!.trim_limit_pct).toBeCloseTo(25, 9);
    // 40 % as two standard deviations of the viscosity is 20 % of the shot: 52 % may be corrected
    const wide = exampleRecipe({
      'station.syringe.fill': 0.5e-6,
      'resin.rheology.viscosity': { value: 2.4, halfWidth: 0.96, distribution: 'normal', per: 'lot' },
      'process.temperature': 296.15,
      'needle.bore': 0.413e-3,
    });
    expect(release(wide, masses(1, 1)).result!.trim_limit_pct).toBeCloseTo(52, 0);
  });

  test('a shot that no thickness makes is an error', () => {
    const still = exampleRecipe({ 'settings.pressure': 2e3 }); // below the friction of the plunger
    const { result, findings } = release(still, masses(1, 1));
    expect(result).toBeNull();
    expect(findings.at(-1)).toMatchObject({ code: 'release-reading' });
  });
});
