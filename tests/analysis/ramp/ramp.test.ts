import { describe, expect, it } from 'vitest';
import { programRun } from '../../../src/analysis/ramp/program-run.ts';
import { type RampResult, ramp } from '../../../src/analysis/ramp/ramp.ts';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const run = (overrides = {}, options = {}): RampResult => {
  const outcome = ramp(exampleRecipe(overrides), options);
  expect(outcome.findings.filter(f => f.severity === 'error')).toEqual([]);
  return outcome.result!;
};
const codes = (overrides = {}, options = {}) => ramp(exampleRecipe(overrides), options).findings.map(f => f.code);
/** ISO 6358 valve of 0.3 dm³/(s·bar) with a hose. */
const VALVE = {
  'station.air': {
    ...{ model: 'iso6358', conductance: 3e-9, critical_ratio: 0.3 },
    hose: { inside_diameter: 4e-3, length: 1.5 },
  },
};

describe('the shots of a ramp', () => {
  it('grow with the viscosity and keep the aim: ideal air by hand', () => {
    const r = run();
    const first = shot(exampleRecipe()).result!;
    // dwell for the aim at age 0 viscosity = dwell·aim/volume/factor of the first shot
    const fresh = (0.53 * first.aim_uL!) / first.volume_uL / first.viscosity_factor;
    for (const s of r.shots) {
      const age = 12 + ((s.shot - 1) * 40) / 60;
      expect(s.age_min).toBeCloseTo(age, 10);
      expect(s.viscosity_factor).toBeCloseTo(2 ** (age / 60), 10);
      expect(s.dwell_s).toBeCloseTo(fresh * 2 ** (age / 60), 9);
      expect(s.error_pct).toBeCloseTo((s.program_dwell_s / s.dwell_s - 1) * 100, 8);
      expect(s.dispensed_mL * 1e3).toBeCloseTo(3 * r.aim_uL + s.shot * (r.aim_uL + r.bore_shot_uL), 9);
    }
  });

  it('end with the viscosity factor, inclusive: 12 min + 72·40 s is 60 min, where the factor is 2', () => {
    expect(run().end).toEqual({ reason: 'viscosity_factor', shot: 73, age_min: 60 });
  });

  it('end with age, syringe or dwell, whichever comes first, limits included', () => {
    const age = run({ 'process.stop_at': { age: 30 * 60 } });
    expect(age.end).toEqual({ reason: 'age', shot: 28, age_min: 30 }); // 12 + 27·2/3 = 30
    const { aim_uL, bore_shot_uL } = age;
    const enough = 0.3e-6 + (3 * aim_uL + 10 * (aim_uL + bore_shot_uL)) * 1e-9;
    expect(run({ 'station.syringe.fill': enough }).end).toMatchObject({ reason: 'syringe', shot: 10 });
    expect(run({ 'station.syringe.fill': enough * (1 - 1e-7) }).end).toMatchObject({ reason: 'syringe', shot: 9 });
    const dwell = run().shots[19]!.dwell_s;
    expect(run({ 'station.dwell.max': dwell }).end).toMatchObject({ reason: 'dwell', shot: 20 });
  });

  it('end at 90 % of the gel age', () => {
    // first order, k = 2e-4/s: α = 0.5 at ln 2/k = 3465.7 s; 90 %: 3119.2 s; 720 + (n − 1)·40 ≤ 3119.2: n = 60
    const cure = {
      model: 'castro-macosko',
      A1: 2e-4,
      E1: 0,
      A2: 0,
      E2: 0,
      m: 1,
      n: 1,
      gel_conversion: 0.5,
      c1: 0.5,
      c2: 0,
    };
    expect(run({ 'resin.cure': cure, 'process.stop_at': null }).end).toMatchObject({ reason: 'gel', shot: 60 });
  });

  it('count what fills the needle when that is more than the prime shots', () => {
    // 12.7 mm of 0.4128 mm bore hold 1.6997 uL: less than one shot of 1.86 uL
    expect(run({ 'process.prime': 0 }).prime_shots).toBe(1);
    expect(run({ 'process.prime': 0, 'needle.length': 38e-3 }).prime_shots).toBe(3); // 5.086 uL
  });

  it('say what is missing, or that nothing ends them or starts them', () => {
    expect(ramp(exampleRecipe({ 'process.takt': null })).findings.at(-1)!.path).toBe('process.takt');
    expect(codes({ 'process.ready_after': 4000 })).toContain('ramp-no-shot');
    expect(codes({ 'resin.cure': { model: 'none' }, 'station.syringe': null })).toContain('ramp-endless');
  });

  it('that end before the first say what ended them', () => {
    const why = (overrides: object) => {
      const { message } = ramp(exampleRecipe({ ...overrides })).findings.find(f => f.code === 'ramp-no-shot')!;
      return message.replace('the run ends before its first shot: ', '');
    };
    // 2^(12/60) = 1.1487 at 12 min
    expect(why({ 'process.stop_at': { viscosity_factor: 1.1 } })).toBe(
      'at 12 min the viscosity factor is 1.149, above 1.1',
    );
    expect(why({ 'process.stop_at': { age: 600 } })).toBe('at 12 min the resin is older than `stop_at.age`, 10 min');
    expect(why({ 'station.syringe.fill': 0.304e-6 })).toMatch(
      /^with it 0\.0\d+ mL would have left a syringe that gives 0\.004 mL$/, // 0.304 mL less 0.3 mL left over
    );
  });

  it('are not counted on a station whose steps are finer than any holds', () => {
    const paths = (overrides: object, options = {}) => {
      const { result, findings } = ramp(exampleRecipe({ ...overrides }), options);
      expect(result).toBeNull();
      return findings.filter(f => f.code === 'setpoint-impossible').map(f => f.path);
    };
    // 99 s and 550 kPa at most: more than ten million steps below 9.9 µs and 0.055 Pa
    expect(paths({ 'station.dwell.step': 9.8e-6 })).toEqual(['station.dwell.step']);
    expect(paths({ 'station.ramp': { add_step: 9.8e-6 } })).toEqual(['station.ramp.add_step']);
    expect(paths({ 'station.pressure.step': 0.054 }, { by: 'pressure' })).toEqual(['station.pressure.step']);
    expect(codes({ 'station.dwell.step': 1e-4 })).not.toContain('setpoint-impossible');
  });

  it('come at the setpoint’s pressure where none is released', () => {
    const outcome = ramp(exampleRecipe({ settings: null }));
    expect(outcome.result!.pressure_kPa).toBe(200); // the setpoint of this recipe, tested beside it
  });

  it('count the air that the syringe gains', () => {
    const r = run(VALVE);
    const one = r.shots[40]!;
    const before = one.dispensed_mL * 1e-6 - r.aim_uL * 1e-9; // its own bore shot has left, its backfill has not
    const recipe = exampleRecipe(VALVE);
    const at = { pressure: 210e3, age: one.age_min * 60, dispensed: before };
    expect(shot(recipe, { ...at, dwell: one.dwell_s }).result!.error_to_aim_pct!).toBeCloseTo(0, 7);
    expect(shot(recipe, { ...at, dwell: one.program_dwell_s }).result!.error_to_aim_pct!).toBeCloseTo(one.error_pct, 7);
  });
});

/** Least worst error of all one-stage programs, tried out on a table of errors in hundredths of a second. */
function triedOut(r: RampResult, error: (shot: number, centi: number) => number, presses = 1) {
  let best = { worst: Number.POSITIVE_INFINITY, first: 0, add: 0, every: 0 };
  const count = r.shots.length;
  for (let every = count * presses; every >= 1; every--) {
    for (let add = 0; add <= 60; add++) {
      if (add > 0 && every >= count * presses) break;
      for (let first = 30; first <= 110; first++) {
        let worst = 0;
        for (let i = 1; i <= count && worst < best.worst - 1e-9; i++) {
          worst = Math.max(worst, Math.abs(error(i, first + add * Math.floor((i * presses - 1) / every))));
        }
        if (worst < best.worst - 1e-9) best = { worst, first, add, every };
      }
    }
  }
  return best;
}

describe('the program of a ramp', () => {
  const linearError = (r: RampResult) => (i: number, centi: number) => centi / 100 / r.shots[i - 1]!.dwell_s - 1;

  it('is the best of all programs, for one press a connector and for two', () => {
    for (const bore_shot of ['by_sight', 'by_dwell']) {
      const r = run({ 'process.bore_shot': bore_shot, 'process.stop_at': { age: 35 * 60 } });
      const best = triedOut(r, linearError(r), bore_shot === 'by_dwell' ? 2 : 1);
      expect(r.worst_error_pct / 100).toBeCloseTo(best.worst, 10);
      expect(r.program.stages).toEqual([
        { from_shot: 1, first_dwell_s: best.first / 100, add_s: best.add / 100, every: best.every },
      ]);
    }
  });

  it('is the best of all programs with an air valve as well', () => {
    const overrides = { ...VALVE, 'process.stop_at': { age: 18 * 60 } };
    const r = run(overrides);
    const recipe = exampleRecipe(overrides);
    const errors = r.shots.map(s => {
      const at = { pressure: 210e3, age: s.age_min * 60, dispensed: s.dispensed_mL * 1e-6 - r.aim_uL * 1e-9 };
      return Array.from({ length: 141 }, (_, centi) =>
        centi < 40 || centi > 70 ? 1 : shot(recipe, { ...at, dwell: centi / 100 }).result!.error_to_aim_pct! / 100,
      );
    });
    const best = triedOut(r, (i, centi) => errors[i - 1]![Math.min(centi, 140)]!);
    expect(r.worst_error_pct / 100).toBeCloseTo(best.worst, 9);
    expect(r.program.stages[0]).toMatchObject({ first_dwell_s: best.first / 100, every: best.every });
  });

  it('counts presses, not connectors, when the bore shot is made by dwell', () => {
    const r = run({ 'process.bore_shot': 'by_dwell' });
    const [stage] = r.program.stages as readonly { first_dwell_s: number; add_s: number; every: number }[];
    for (const s of r.shots) {
      const additions = Math.floor((2 * s.shot - 1) / stage!.every);
      expect(s.program_dwell_s).toBeCloseTo(stage!.first_dwell_s + stage!.add_s * additions, 10);
    }
  });

  it('reports what happens without it: the first dwell kept', () => {
    const r = run();
    const errors = r.shots.map(s => Math.abs(0.53 / s.dwell_s - 1));
    expect((r.program.stages[0] as { first_dwell_s: number }).first_dwell_s).toBe(0.53);
    expect(r.worst_error_without_ramp_pct / 100).toBeCloseTo(Math.max(...errors), 10);
    expect(r.good_shots_without_ramp).toBe(errors.filter(e => e <= 0.1).length);
    expect(r.good_shots).toBe(r.shots.length);
  });

  it('takes the fewest stages that keep a tight tolerance, and says when the station holds fewer', () => {
    const overrides = { 'process.tolerance': 0.02 };
    const r = run(overrides);
    expect(r.program.stages.length).toBe(2);
    expect(r.worst_error_pct).toBeLessThanOrEqual(2 + 1e-7);
    expect(r.one_stage!.worst_error_pct).toBeGreaterThan(2);
    expect(r.good_shots).toBe(r.shots.length);
    expect(codes(overrides)).toContain('ramp-stages');
    expect(codes({ ...overrides, 'station.ramp.stages': 2 })).not.toContain('ramp-stages');
  });

  it('warns where no number of stages keeps the tolerance', () => {
    expect(codes({ 'process.tolerance': 0.001 })).toContain('ramp-tolerance');
    expect(codes()).not.toContain('ramp-tolerance');
  });

  it('may run late until the first shot leaves the tolerance: pot life by hand', () => {
    const r = run();
    // (1 + e)·2^(−wait/60 min) = 0.9: wait = 60·log₂((1 + e)/0.9) min
    const waits = r.shots.map(s => 60 * Math.log2((1 + s.error_pct / 100) / 0.9));
    expect(r.may_run_late!.time_min).toBeCloseTo(Math.min(...waits), 5);
    expect(r.may_run_late!.shot).toBe(waits.indexOf(Math.min(...waits)) + 1);
    expect(run({ 'resin.cure': { model: 'none' } }).may_run_late).toBeNull();
  });

  it('shifts age against count by a pause', () => {
    const r = run({}, { pauses: [{ duration: 900, afterShot: 40 }] });
    expect(r.shots[39]!.age_min).toBeCloseTo(12 + (39 * 40) / 60, 10);
    expect(r.shots[40]!.age_min).toBeCloseTo(12 + 15 + (40 * 40) / 60, 10);
    expect(r.end.shot).toBe(50); // 27 min + 49·40 s = 59.67 min
  });

  it('ramps the pressure at one dwell as the alternative', () => {
    const r = run({}, { by: 'pressure' });
    expect(r.dwell_s).toBe(0.53);
    for (const s of r.shots) {
      // at one dwell the net pressure (3 kPa friction) grows as the viscosity: p − 3 = (210 − 3)·factor/factor₁·aim/V
      expect(s.error_pct).toBeCloseTo(((s.program_pressure_kPa - 3) / (s.pressure_kPa - 3) - 1) * 100, 7);
      expect(Number.isInteger(s.program_pressure_kPa)).toBe(true);
    }
    const ratio = (r.shots[72]!.pressure_kPa - 3) / (r.shots[0]!.pressure_kPa - 3);
    expect(ratio).toBeCloseTo(2 / 2 ** 0.2, 9);
  });
});

describe('a program in force', () => {
  it('is the recipe’s ramp, shot by shot, against aim and window', () => {
    const evaluation = programRun(exampleRecipe()).result!;
    const planned = run();
    expect(evaluation.shots).toHaveLength(73);
    for (const s of evaluation.shots) {
      const dwell = 0.53 + 0.02 * Math.floor((s.shot - 1) / 4);
      expect(s.dwell).toBeCloseTo(dwell, 12);
      expect(s.error).toBeCloseTo(dwell / planned.shots[s.shot - 1]!.dwell_s - 1, 9);
      expect(s.withinWindow).toBe(true);
    }
  });

  it('keeps the dwell where there is no ramp, and leaves the window in the end', () => {
    const evaluation = programRun(exampleRecipe({ 'settings.ramp': null })).result!;
    expect(new Set(evaluation.shots.map(s => s.dwell))).toEqual(new Set([0.53]));
    expect(evaluation.shots.at(-1)!.withinWindow).toBe(false);
    expect(evaluation.worst).toBeCloseTo(run().worst_error_without_ramp_pct / 100, 9);
  });

  it('goes on from where the stage before stands when a later one names no first dwell', () => {
    const stages = [
      { from_shot: 1, add: 0.02, every: 4 },
      { from_shot: 9, add: 0.05, every: 2 },
      { from_shot: 13, first: 0.8, add: 0.01, every: 1 },
    ];
    const { shots } = programRun(exampleRecipe({ 'settings.ramp': stages })).result!;
    expect([7, 8, 9, 10, 11, 12, 13].map(i => shots[i]!.dwell)).toEqual([0.55, 0.57, 0.57, 0.62, 0.62, 0.8, 0.81]);
  });
});
