import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { setpoint } from '../../../src/analysis/setpoint/setpoint.ts';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

/** The example without anything but the station's own scatter: the choice can then be counted out by hand. */
const STATION_ONLY = {
  'resin.rheology': { model: 'newtonian', viscosity: 2.4 },
  'process.temperature': 296.15,
  'needle.gauge': null,
  'needle.bore': 0.41e-3,
  'needle.outside': 0.72e-3,
};
const chosenOf = (recipe: ReturnType<typeof exampleRecipe>, options = {}) => {
  const outcome = setpoint(recipe, options);
  expect(outcome.findings.filter(f => f.severity === 'error')).toEqual([]);
  return outcome.result!;
};

/** A resin that does not set, in a station alone: every ramp is flat, and the choice can be counted out by hand. */
const SETS_NOT = { ...STATION_ONLY, 'resin.cure': { model: 'none' } };

/** Greatest of 1, 2 and 5 times a power of ten that divides a whole number. */
const roundest = (whole: number) => {
  for (const unit of [500, 200, 100, 50, 20, 10, 5, 2, 1]) if (whole % unit === 0) return unit;
  return 0;
};

/**
 * Newtonian with ideal air: V = G·(p − friction)·t, every pair counted in whole kPa and hundredths of a second, and chosen
 * as the order of the criteria says, one after the other over all pairs.
 */
function countedOut(recipe: ReturnType<typeof exampleRecipe>, { scatter = true, lastOver = 1 } = {}) {
  const at = shot(recipe, { pressure: 210e3, dwell: 1 }).result!;
  const perKPa = at.volume_uL / 207;
  const aim = at.aim_uL!;
  let pairs: { kPa: number; centi: number; error: number; spread: number }[] = [];
  for (let kPa = 10; kPa <= 550; kPa++) {
    let best: { centi: number; error: number } | null = null;
    for (let centi = 5; centi <= 3000; centi++) {
      const error = (perKPa * (kPa - 3) * centi) / 100 / aim - 1;
      if (best === null || Math.abs(error) < Math.abs(best.error) - 1e-12) best = { centi, error };
    }
    // ±2 kPa and ±3 ms are two standard deviations each
    const spread = scatter ? Math.hypot(1 / (kPa - 3), 0.0015 / (best!.centi / 100)) : 0;
    pairs.push({ ...best!, kPa, spread });
  }
  const keep = (good: (pair: (typeof pairs)[number]) => boolean) => {
    if (pairs.some(good)) pairs = pairs.filter(good);
  };
  keep(p => Math.abs(p.error) <= 0.01); // a tenth of 10 %
  keep(p => p.centi >= 20 && p.centi * lastOver <= 400); // process.practical_dwell
  keep(p => p.kPa >= 55 && p.kPa <= 495); // 10 to 90 % of 550 kPa; the rating is above
  const least = Math.min(...pairs.map(p => p.spread));
  keep(p => p.spread <= least * 1.25);
  const most = Math.max(...pairs.map(p => roundest(p.kPa)));
  keep(p => roundest(p.kPa) === most);
  const distance = (p: { centi: number }) => Math.abs(Math.log(p.centi / 100 / Math.sqrt(0.2 * 4)));
  pairs.sort((a, b) => distance(a) - distance(b) || Math.abs(a.error) - Math.abs(b.error) || a.kPa - b.kPa);
  return pairs[0]!;
}

describe('the setpoint', () => {
  it.each([{ viscosity: 2.4 }, { viscosity: 0.4 }, { viscosity: 6 }, { viscosity: 17 }, { viscosity: 30 }])(
    'is what the criteria leave when they are counted out over every pair, at $viscosity Pa.s',
    ({ viscosity }) => {
      const recipe = exampleRecipe({ ...SETS_NOT, 'resin.rheology': { model: 'newtonian', viscosity } });
      const { chosen } = chosenOf(recipe);
      const expected = countedOut(recipe);
      expect([chosen.pressure_kPa, chosen.dwell_s]).toEqual([expected.kPa, expected.centi / 100]);
      expect(chosen.error_pct).toBeCloseTo(expected.error * 100, 8);
      expect(chosen.spread_rel).toBeCloseTo(expected.spread, 9);
      expect(chosen.after_trim_rel).toBeCloseTo(expected.spread, 9);
    },
  );

  it('takes the roundest pressure of all practical ones when nothing scatters', () => {
    const recipe = exampleRecipe({ ...SETS_NOT, 'station.pressure.accuracy': null, 'station.dwell.jitter': null });
    const { chosen } = chosenOf(recipe);
    const expected = countedOut(recipe, { scatter: false });
    expect([chosen.pressure_kPa, chosen.dwell_s]).toEqual([expected.kPa, expected.centi / 100]);
    expect(chosen.spread_rel).toBe(0);
    expect(chosen.why.at(-1)).toContain('a multiple of 200 kPa');
  });

  it('asks for a practical dwell at the last shot of the ramp as well as at the first', () => {
    // stops at twice the viscosity of the first shot: the last dwell is twice the first to a step of the program
    const thick = {
      ...STATION_ONLY,
      'resin.rheology': { model: 'newtonian', viscosity: 24 },
      'process.stop_at': { viscosity_factor: 2 },
      'process.ready_after': 0,
      'station.pressure.accuracy': 0.5e3,
      'station.dwell.jitter': 0.05,
    };
    const { chosen, program } = chosenOf(exampleRecipe(thick));
    expect(program!.stages[0]!.first_dwell_s).toBeGreaterThan(1);
    expect(program!.last_dwell_s).toBeLessThanOrEqual(4);
    expect(chosen.why.join()).toContain('first and last dwell from 0.2 s to 4 s');
    // without the wish the jitter alone would make the dwell as long as it can be
    const free = chosenOf(exampleRecipe({ ...thick, 'process.practical_dwell': [0.2, 99] }));
    expect(free.program!.last_dwell_s).toBeGreaterThan(4);
  });

  it('prefers a pressure whose ramp keeps the tolerance, and says so where there is none', () => {
    // the dwell grows by tenths of a second: only a long dwell can grow in such steps and stay within 10 %
    const coarse = { ...STATION_ONLY, 'station.dwell.step': 0.1, 'station.ramp': { stages: 1, add_step: 0.1 } };
    const steady = chosenOf(exampleRecipe(coarse));
    expect(steady.program!.worst_error_pct).toBeLessThanOrEqual(10);
    // 50 s more at a time: no dwell can grow so and stay within 5 %
    const leaping = { ...STATION_ONLY, 'station.ramp': { stages: 1, add_step: 50 }, 'process.tolerance': 0.05 };
    const none = setpoint(exampleRecipe(leaping));
    expect(none.result!.chosen.why.join()).toContain('no setting has a ramp of 1 stage that keeps the tolerance');
    expect(none.findings.map(f => f.code)).toContain('ramp-stages');
  });

  it('gives the program that the ramp of its pressure is', () => {
    const { chosen, program } = chosenOf(exampleRecipe());
    const own = ramp(exampleRecipe({ 'settings.pressure': chosen.pressure_kPa * 1e3 })).result!;
    expect(program!.stages).toEqual(own.program.stages);
    expect(program!.worst_error_pct).toBeCloseTo(own.worst_error_pct, 9);
    expect(chosenOf(exampleRecipe(), { age: 900 }).program).toBeNull();
  });

  it('takes the least error where no pair is fine enough, and says so', () => {
    const recipe = exampleRecipe({ ...STATION_ONLY, 'process.tolerance': 1e-7 });
    const outcome = setpoint(recipe);
    expect(outcome.findings.map(f => f.code)).toContain('setpoint-coarse');
    const least = Math.min(...outcome.result!.candidates.map(c => Math.abs(c.error_pct)));
    expect(Math.abs(outcome.result!.chosen.error_pct)).toBeCloseTo(least, 9);
  });

  it('inverts the shot: its setting delivers its volume, near the aim, on the steps of the station', () => {
    const resins = fc.oneof(
      fc.record({ model: fc.constant('newtonian'), viscosity: fc.double({ min: 0.5, max: 20, noNaN: true }) }),
      fc.record({
        model: fc.constant('power-law'),
        K: fc.double({ min: 2, max: 20, noNaN: true }),
        n: fc.double({ min: 0.5, max: 1, noNaN: true }),
      }),
    );
    fc.assert(
      fc.property(resins, fc.double({ min: 720, max: 3600, noNaN: true }), (rheology, age) => {
        const recipe = exampleRecipe({ 'resin.rheology': rheology });
        const { chosen, aim_uL } = chosenOf(recipe, { age });
        const again = shot(recipe, { pressure: chosen.pressure_kPa * 1e3, dwell: chosen.dwell_s, age }).result!;
        expect(again.volume_uL).toBeCloseTo(chosen.volume_uL, 10);
        expect(again.volume_uL / aim_uL - 1).toBeCloseTo(chosen.error_pct / 100, 10);
        expect(Math.abs(chosen.error_pct)).toBeLessThanOrEqual(1 + 1e-6); // a tenth of 10 %
        expect(Number.isInteger(chosen.pressure_kPa)).toBe(true);
        expect(String(chosen.dwell_s).length).toBeLessThanOrEqual(5); // 12.34: no binary dust
        expect(chosen.time_to_bead_s).toBe(again.bore!.time_to_bead_s);
      }),
      { numRuns: 12, seed: 20261125 },
    );
  });

  it('keeps a fixed pressure and finds the dwell, and the other way round', () => {
    const recipe = exampleRecipe(STATION_ONLY);
    const perSecond = shot(recipe, { pressure: 210e3, dwell: 1 }).result!;
    const fixed = chosenOf(recipe, { pressure: 210e3 }).chosen;
    expect(fixed.pressure_kPa).toBe(210);
    expect(fixed.dwell_s).toBeCloseTo(Math.round((100 * perSecond.aim_uL!) / perSecond.volume_uL) / 100, 12);
    const dwell = chosenOf(recipe, { dwell: 0.53 }).chosen;
    expect(dwell.dwell_s).toBe(0.53);
    expect(Math.abs(dwell.error_pct)).toBeLessThanOrEqual(1 + 1e-9);
  });

  it('stays under the rating of the air line', () => {
    const recipe = exampleRecipe({ ...STATION_ONLY, 'station.rating': 150e3 });
    expect(chosenOf(recipe).chosen.pressure_kPa).toBeLessThanOrEqual(150);
    expect(setpoint(recipe, { pressure: 200e3 }).findings.at(-1)).toMatchObject({
      code: 'setpoint-impossible',
      path: 'station.rating',
    });
  });

  it('says which limit stands in the way, with the numbers', () => {
    const thick = setpoint(exampleRecipe({ 'resin.rheology': { model: 'newtonian', viscosity: 5e4 } }));
    expect(thick.result).toBeNull();
    expect(thick.findings.at(-1)).toMatchObject({ code: 'setpoint-impossible', path: 'station.pressure.max' });
    expect(thick.findings.at(-1)!.message).toContain('550 kPa for 99 s');
    const thin = setpoint(exampleRecipe({ 'resin.rheology': { model: 'newtonian', viscosity: 1e-3 } }));
    expect(thin.findings.at(-1)).toMatchObject({ code: 'setpoint-impossible', path: 'station.dwell.min' });
    const stiff = setpoint(exampleRecipe({ 'resin.rheology': { model: 'bingham', yield_stress: 2e4, viscosity: 2 } }));
    expect(stiff.findings.at(-1)!.message).toContain('does not flow below');
    const missing = setpoint(
      exampleRecipe({ 'station.pressure': null, 'station.dwell': null, 'connector.reach': null }),
    );
    expect(missing.result).toBeNull();
    expect(missing.findings.map(f => f.path)).toEqual(
      expect.arrayContaining(['station.pressure', 'station.dwell', 'connector.reach']),
    );
  });

  it('compares needles side by side, each with its own setpoint or the reason why it has none', () => {
    const { needles } = chosenOf(exampleRecipe(), {
      needles: [{ gauge: '21' }, { gauge: '23', length: 6.35e-3 }, { gauge: '7' }],
    });
    expect(needles.map(n => n.needle)).toEqual(['21 regular x 12.7 mm', '23 regular x 6.35 mm', '7 regular x 12.7 mm']);
    const own = exampleRecipe({ 'needle.gauge': '23', 'needle.length': 6.35e-3 });
    const { why: _why, ...keys } = chosenOf(own).chosen;
    expect(needles[1]!.chosen).toEqual(keys);
    expect(needles[2]!.chosen).toBeNull();
    expect(needles[2]!.limited_by).toContain('does not enter');
  });

  it('shows a few candidates over the range of pressures, the chosen among them, each with what limits it', () => {
    const { candidates, chosen } = chosenOf(exampleRecipe());
    expect(candidates.length).toBeLessThanOrEqual(12);
    expect(candidates.filter(c => c.chosen).map(c => c.pressure_kPa)).toEqual([chosen.pressure_kPa]);
    // at a low pressure its accuracy matters most; elsewhere the needle, whose bore is known to 5 %, its d⁴ to 20 %
    expect([candidates[0]!.limited_by, candidates.at(-1)!.limited_by]).toEqual(['pressure accuracy', 'needle']);
  });
});

describe('the matched needle', () => {
  it('delivers the aim in the time to the wanted bead', () => {
    const recipe = exampleRecipe({ ...STATION_ONLY, 'needle.ends': 'none' });
    const { matched } = chosenOf(recipe);
    const bore = (matched!.d4_per_length_mm3 * 1e-9 * 12.7e-3) ** 0.25;
    const with_ = exampleRecipe({ ...STATION_ONLY, 'needle.ends': 'none', 'needle.bore': bore });
    for (const pressure of [60e3, 210e3]) {
      const time = shot(with_, { pressure, dwell: 1 }).result!.bore!.time_to_wanted_bead_s!;
      expect(shot(with_, { pressure, dwell: time }).result!.error_to_aim_pct!).toBeCloseTo(0, 7);
    }
  });

  it('has the d⁴/L of the closed form for a bore behind the seat', () => {
    // V = c₁ + c₂/Rn with c₁ = bore volume + bead, c₂ = ½·A·rb·x² + bead·rb·x; Rn = 128μ/(π·d⁴/L)
    const recipe = exampleRecipe({
      ...STATION_ONLY,
      'connector.cavity': [
        { part: 'bore', diameter: 126e-6, length: 5.5e-3 },
        { part: 'tube', diameter: 1.1e-3, length: 7.6e-3 },
      ],
    });
    const result = chosenOf(recipe);
    const [d, x] = [126e-6, 5.5e-3];
    const area = (Math.PI / 4) * d * d;
    const t = Math.tan(Math.PI / 6);
    const bead = (Math.PI / 48) * 0.5e-3 ** 3 * t * (3 + t * t);
    const perViscosity = 128 / (Math.PI * d ** 4); // rb/μ; μ cancels against Rn
    const c2 = (area * perViscosity * x * x) / 2 + bead * perViscosity * x;
    const needleResistance = c2 / (result.aim_uL * 1e-9 - area * x - bead); // Rn/μ
    expect(result.matched!.d4_per_length_mm3 / (128e9 / (Math.PI * needleResistance))).toBeCloseTo(1, 8);
  });

  it('lists real needles that fit, the nearest first, and is null where the bore shot is the larger', () => {
    const { needles } = chosenOf(exampleRecipe()).matched!;
    const off = needles.map(n => Math.abs(Math.log(1 + n.shared_dwell_error_pct / 100)));
    expect(off).toEqual([...off].sort((a, b) => a - b));
    for (const needle of needles) expect(needle.outside_mm).toBeLessThanOrEqual(1.1); // the rear of the cavity
    const small = exampleRecipe({ 'connector.bead.diameter': 2.6e-3, 'connector.face': 4e-3 });
    expect(chosenOf(small).matched).toBeNull();
  });
});
