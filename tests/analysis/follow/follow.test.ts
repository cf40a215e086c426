import { describe, expect, test } from 'vitest';
import { dispenseAim } from '../../../src/analysis/cavity/dispense-aim.ts';
import { resolveNeedle } from '../../../src/analysis/delivery/needle.ts';
import { correctionOf } from '../../../src/analysis/follow/correction.ts';
import { type FollowResult, follow } from '../../../src/analysis/follow/follow.ts';
import { changedParts, type LoggedCheck } from '../../../src/analysis/follow/logged-release.ts';
import { earlierChecks, optionsOf } from '../../../src/analysis/follow/thickness-course.ts';
import { primeShotsOf, runStart } from '../../../src/analysis/program/ramp-shots.ts';
import { release } from '../../../src/analysis/release/release.ts';
import { syringeModel } from '../../../src/analysis/release/syringe-model.ts';
import { releasedProgram, settingAt } from '../../../src/analysis/setpoint/program-in-force.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

/** A resin that does not age, and a syringe that does not empty soon. */
const recipe = exampleRecipe({
  'resin.cure': { model: 'none' },
  'settings.ramp': null,
  'settings.dwell': 0.46,
  'station.syringe.fill': 0.7e-6,
});
const aim = dispenseAim(recipe, 'a test').result!;
const prime = primeShotsOf(recipe, aim, resolveNeedle(recipe).result!);
const model = syringeModel(recipe, { temperature: 296.15 }).result!;
const released = releasedProgram(recipe)!;

type Given = Partial<LoggedCheck> & { readonly thickness: number; readonly scatter?: readonly number[] };

/** Three weighings of five shots of a syringe of a thickness, at a shot of the program, one minute of the clock a takt and a half. */
function logged({ thickness, scatter = [0.998, 1, 1.002], ...given }: Given, line = 2): LoggedCheck {
  const shot = given.shot ?? 1;
  const start = runStart(recipe, aim, prime, shot);
  const dwell = given.dwell ?? settingAt(released, shot).dwell;
  const moment = { age: start.age, dispensed: start.dispensed + aim.boreShot };
  const volume = model.deliver(thickness, moment, { pressure: released.pressure, dwell });
  return {
    ...{
      line,
      at: '2026-03-02',
      time: shot * 40,
      syringe: 'S-1',
      lot: 'L-1',
      needle: 'S-1',
      operator: 'AB',
      decision: 'use',
    },
    ...{ kind: 'masses', readings: scatter.map(f => 5 * 1150 * volume * f), lastDigit: 1e-9, shotsPerReading: 5 },
    ...{ pressure: released.pressure, dwell, age: null, temperature: 296.15, shot, program: null },
    readingError: null,
    ...given,
  };
}

/** Checks of one syringe every ten shots. */
const series = (...thicknesses: number[]) =>
  thicknesses.map((thickness, i) => logged({ thickness, shot: 1 + 10 * i }, i + 2));
const followed = (checks: readonly LoggedCheck[]) => follow(recipe, checks).result!;
const stagesOf = (result: FollowResult) =>
  result.program!.stages.map(s => ({ fromShot: s.from_shot, first: s.first_dwell_s, add: s.add_s, every: s.every }));

describe('thickness from check to check', () => {
  test('finds each check at the thickness that its shots had', () => {
    const { checks } = followed(series(1, 1.1, 0.9));
    for (const [i, thickness] of [1, 1.1, 0.9].entries()) expect(checks[i]!.thickness).toBeCloseTo(thickness, 4);
  });

  test('moves by its gain towards each check, in the logarithm', () => {
    const { checks } = followed(series(1, 1.1, 1.1, 1.05));
    for (const [i, { gain, filtered, thickness }] of checks.entries()) {
      const before = i === 0 ? 0 : Math.log(checks[i - 1]!.filtered);
      expect(Math.log(filtered)).toBeCloseTo(before + gain * (Math.log(thickness!) - before), 9);
    }
  });

  test('has with equal spacing a gain that tends to the weight of an EWMA', () => {
    // λ²/(1 − λ) = q/r: q = 0.01²·(400 s/3600 s), r = (t(0.975, 2)/1.96)²·s²/3 of the readings, s = 0.002 (t table: 4.302653).
    const { checks } = followed(series(...new Array<number>(9).fill(1)));
    const q = 1e-4 * (400 / 3600);
    const r = ((4.302653 / 1.959964) * 0.002) ** 2 / 3;
    const ratio = q / r;
    const weight = (-ratio + Math.sqrt(ratio * ratio + 4 * ratio)) / 2;
    // The balance and the scatter of the station make r a little larger.
    expect(checks.at(-1)!.gain).toBeGreaterThan(weight - 0.1);
    expect(checks.at(-1)!.gain).toBeLessThan(weight + 0.02);
    expect(checks.at(-1)!.gain).toBeCloseTo(checks.at(-2)!.gain, 2);
  });

  test('takes a new syringe for one of its lot, and knows less of it than of one that was checked', () => {
    const first = [logged({ thickness: 1.2 })];
    const other = logged({ thickness: 1.2, syringe: 'S-2', needle: 'S-2', time: 3600 }, 3);
    const { checks } = followed([...first, other]);
    expect(checks[1]!.changed).toEqual(['needle', 'syringe']);
    expect(changedParts(logged({ thickness: 1, lot: '' }), logged({ thickness: 1, lot: '' }))).toEqual(['lot']);
    // What is expected of it lies between the recipe and the first syringe.
    const expected = earlierChecks(recipe, first, { ...other, options: optionsOf(other) })!;
    expect(expected.checks).toBe(1);
    expect(expected.known.parts[0]).toBeGreaterThan(0);
    expect(expected.known.parts[0]).toBeLessThan(Math.log(1.2));
    expect(expected.known.parts.slice(1, 3)).toEqual([0, 0]);
  });

  test('expects nothing of another lot with another needle', () => {
    const other = logged({ thickness: 1, syringe: 'S-2', needle: 'S-2', lot: 'L-2', time: 3600 });
    expect(earlierChecks(recipe, [logged({ thickness: 1.2 })], { ...other, options: optionsOf(other) })).toBeNull();
  });

  test('is found from the reading alone where the recipe has no tolerance on anything', () => {
    const bare = exampleRecipe({
      'resin.rheology': { model: 'newtonian', viscosity: 2.4 },
      'process.temperature': 296.15,
      'needle.bore': 0.413e-3,
    });
    const { checks } = follow(bare, [logged({ thickness: 1.1 })]).result!;
    expect(checks[0]!.gain).toBeGreaterThan(0.99);
  });

  test('leaves out what release rejects before it looks at a program', () => {
    const scattered = logged({ thickness: 1.3, shot: 11, scatter: [0.8, 1, 1.2] }, 3);
    const { checks, action, reason } = followed([...series(1), scattered]);
    expect(checks[1]!.gain).toBe(0);
    expect(checks[1]!.filtered).toBe(checks[0]!.filtered);
    expect([action, reason.code]).toEqual(['stop', 'scatter']);
    const warm = logged({ thickness: 1.3, shot: 11, temperature: 305 }, 3);
    expect(followed([...series(1), warm]).reason.code).toBe('conditions');
  });
});

describe('what to do', () => {
  test('acts beyond the greater of half a step and a quarter of the tolerance', () => {
    const plain = { dwell: 0.5, step: 0.01, tolerance: 0.1, fresh: false, trimLimit: 0.25, factor: 1.2 };
    expect(correctionOf({ ...plain, error: 0.025 })).toMatchObject({ acts: false, deadBand: 0.025, factor: 1 });
    expect(correctionOf({ ...plain, error: -0.026 })).toMatchObject({ acts: true });
    expect(correctionOf({ ...plain, error: 0.04, dwell: 0.1 })).toMatchObject({
      acts: false,
      deadBand: expect.closeTo(0.05, 12),
    });
    expect(correctionOf({ ...plain, error: 0.011, tolerance: null })).toMatchObject({ acts: true, deadBand: 0.01 });
  });

  test('corrects by 10 % at a time for a drift, by as much as release for what is new', () => {
    const plain = { error: -0.2, dwell: 0.5, step: 0.01, tolerance: 0.1, trimLimit: 0.25 };
    expect(correctionOf({ ...plain, fresh: false, factor: 1.2 })).toMatchObject({ factor: 1.1, limited: true });
    expect(correctionOf({ ...plain, fresh: false, factor: 0.8 })).toMatchObject({ factor: 0.9, limited: true });
    expect(correctionOf({ ...plain, fresh: true, factor: 1.2 })).toMatchObject({ factor: 1.2, limited: false });
    expect(correctionOf({ ...plain, fresh: true, factor: 1.3 })).toMatchObject({ factor: 1.25, limited: true });
  });

  test('keeps the program of a syringe that does what the recipe says', () => {
    const result = followed(series(1, 1.005, 0.995));
    expect([result.action, result.reason.code]).toEqual(['keep', 'near']);
    expect(stagesOf(result)).toEqual(released.stages);
    expect(Math.abs(result.error_pct!)).toBeLessThan(2.5);
  });

  test('sets a thick fresh syringe to its own program at once', () => {
    const result = followed(series(1.15));
    expect(result.action).toBe('set');
    expect(result.factor! / 1.15).toBeGreaterThan(0.96);
    expect(result.dwell_s).toBeGreaterThan(settingAt(released, 1).dwell);
  });

  test('keeps the program that release gave, when it fits', () => {
    const trimmed = stagesOf(followed(series(1.15)));
    const result = followed([logged({ thickness: 1.15, program: trimmed })]);
    expect(result.action).toBe('keep');
    expect(stagesOf(result)).toEqual(trimmed);
  });

  test('stops what release rejects, and says why', () => {
    const result = followed(series(2));
    expect(result).toMatchObject({ action: 'stop', dwell_s: null, program: null });
    expect(release(recipe, optionsOf(series(2)[0]!)).result!.decision).toBe('reject');
  });
});

/** Runs a syringe whose thickness is given for each check, setting what `follow` says; the error at each check before it is set. */
function replay(thicknesses: readonly number[], seen: (i: number) => number = i => thicknesses[i]!) {
  const checks: LoggedCheck[] = [];
  const results: FollowResult[] = [];
  const errors: number[] = [];
  let program = released;
  for (const [i, thickness] of thicknesses.entries()) {
    const shot = 1 + 10 * i;
    const { pressure, dwell } = settingAt(program, shot);
    const start = runStart(recipe, aim, prime, shot);
    const moment = { age: start.age, dispensed: start.dispensed + aim.boreShot };
    errors.push(model.deliver(thickness, moment, { pressure, dwell }) / aim.aim - 1);
    checks.push(logged({ thickness: seen(i), shot, dwell, program: program.stages }, i + 2));
    const result = followed(checks);
    results.push(result);
    if (result.action === 'set') program = { ...program, stages: stagesOf(result) };
  }
  return { results, errors, actions: results.map(({ action }) => action) };
}

describe('replayed', () => {
  test('a step is followed within a few checks, a tenth at a time, and named as far from expected', () => {
    const { results, errors } = replay([1, 1, 1.12, 1.12, 1.12, 1.12, 1.12]);
    expect(results.slice(0, 2).map(({ action }) => action)).toEqual(['keep', 'keep']);
    expect(results[2]!.action).toBe('set');
    expect(results[2]!.factor).toBeLessThanOrEqual(1.1 + 1e-9);
    expect(results.at(-1)!.thickness.estimate).toBeGreaterThan(1.09);
    expect(Math.abs(errors.at(-1)!)).toBeLessThan(0.05);
    const { lines } = follow(recipe, series(1, 1, 1.12));
    expect(lines).toEqual([{ line: 4, finding: expect.objectContaining({ code: 'follow-far' }) }]);
  });

  test('a drift is followed, so that the shots stay within the tolerance that they would leave', () => {
    const thicknesses = Array.from({ length: 9 }, (_, i) => 1.02 ** i);
    const { errors, actions } = replay(thicknesses);
    expect(actions).toContain('set');
    expect(actions).not.toContain('stop');
    for (const error of errors) expect(Math.abs(error)).toBeLessThanOrEqual(0.1);
    expect(thicknesses.at(-1)!).toBeGreaterThan(1 / 0.9);
  });

  test('a bad reading sets nothing beyond a tenth, which the next checks take back', () => {
    const { errors, results } = replay(new Array<number>(7).fill(1), i => (i === 3 ? 1.3 : 1));
    for (const { factor } of results) if (factor !== null) expect(Math.abs(factor - 1)).toBeLessThanOrEqual(0.1 + 1e-9);
    for (const error of errors) expect(Math.abs(error)).toBeLessThanOrEqual(0.1 + 0.025);
    expect(Math.abs(errors.at(-1)!)).toBeLessThan(0.05);
    expect(Math.abs(Math.log(results.at(-1)!.thickness.estimate))).toBeLessThan(Math.log(1.3) / 8);
  });

  test('readings that scatter set nothing at all', () => {
    const checks = [
      ...series(1, 1),
      logged({ thickness: 1.3, shot: 21, scatter: [0.7, 1, 1.3] }, 4),
      logged({ thickness: 1, shot: 31 }, 5),
    ];
    expect(followed(checks.slice(0, 3)).action).toBe('stop');
    expect(followed(checks).action).toBe('keep');
  });
});
