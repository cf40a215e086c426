import { describe, expect, it } from 'vitest';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { buildRecipe, exampleRecipe, type Tree } from '../../helpers/recipe-builder.ts';

/** Closed forms and arithmetic in double precision: twelve digits, a few lost in sums. */
const EXACT = 1e-10;

/** A needle of 0.41 mm bore and 12.7 mm without end effects, 2.4 Pa·s, no ageing, no friction. */
const PLAIN: Tree = {
  needle: { bore: 0.41e-3, outside: 0.72e-3, length: 12.7e-3, ends: 'none' },
  resin: { density: 1150, rheology: { model: 'newtonian', viscosity: 2.4 } },
  settings: { pressure: 210e3, dwell: 0.5 },
};
const plain = (changes: Tree = {}) => buildRecipe({ ...PLAIN, ...changes });

function result(recipe: ReturnType<typeof buildRecipe>, options = {}) {
  const outcome = shot(recipe, options);
  expect(outcome.findings.filter(f => f.severity === 'error')).toEqual([]);
  return outcome.result!;
}
function codes(recipe: ReturnType<typeof buildRecipe>, options = {}) {
  return shot(recipe, options).findings.map(f => f.code);
}
const relative = (value: number, expected: number) => Math.abs(value / expected - 1);

describe('a shot of a Newtonian resin by hand', () => {
  // R = 0.205 mm, R⁴ = 1.766100625e-15 m⁴
  // Q = π·210e3·1.766100625e-15/(8·2.4·0.0127) = 1.165157e-9/0.24384 = 4.778371e-9 m³/s
  const flow = (Math.PI * 210e3 * 1.766100625e-15) / (8 * 2.4 * 0.0127);

  it('is Hagen–Poiseuille times the dwell with ideal air', () => {
    const r = result(plain());
    expect(flow).toBeCloseTo(4.7784e-9, 12);
    expect(relative(r.flow_uL_per_s, flow * 1e9)).toBeLessThan(EXACT);
    expect(relative(r.volume_uL, flow * 0.5 * 1e9)).toBeLessThan(EXACT);
    expect(r.ooze_uL).toBe(0);
    expect(relative(r.mass_mg!, flow * 0.5 * 1150 * 1e6)).toBeLessThan(EXACT);
  });

  it('has the wall values of the steady flow', () => {
    const r = result(plain());
    // τw = ΔP·R/(2L) = 210e3·0.205e-3/0.0254 = 1694.88 Pa; γ̇w = τw/η; Re = 4ρQ/(πdη); ρv²/ΔP with v = Q/(πR²)
    expect(relative(r.wall_shear_stress_Pa, (210e3 * 0.205e-3) / 0.0254)).toBeLessThan(EXACT);
    expect(relative(r.wall_shear_rate_per_s, (210e3 * 0.205e-3) / 0.0254 / 2.4)).toBeLessThan(EXACT);
    expect(relative(r.wall_viscosity_Pa_s!, 2.4)).toBeLessThan(EXACT);
    expect(relative(r.reynolds!, (4 * 1150 * flow) / (Math.PI * 0.41e-3 * 2.4))).toBeLessThan(1e-9);
    const velocity = flow / (Math.PI * 0.205e-3 ** 2);
    expect(relative(r.kinetic_pct!, (100 * 1150 * velocity ** 2) / 210e3)).toBeLessThan(1e-9);
    expect(r.end_effect_pct).toBe(0);
  });

  it('counts the entrance as 3πR/16 of extra length, as a share of the lengthened one', () => {
    const r = result(plain({ needle: { bore: 0.41e-3, outside: 0.72e-3, length: 12.7e-3 } }));
    const extra = (3 * Math.PI * 0.205e-3) / 16; // 0.12075 mm
    expect(relative(r.end_effect_pct, (100 * extra) / (12.7e-3 + extra))).toBeLessThan(EXACT);
    expect(relative(r.flow_uL_per_s, (flow * 1e9 * 12.7e-3) / (12.7e-3 + extra))).toBeLessThan(EXACT);
  });

  it('takes friction off the pressure, and says where nothing flows', () => {
    const station = { syringe: { fill: 5e-6, left_over: 0, plunger_friction: 3e3 } };
    const r = result(plain({ station }));
    expect(relative(r.volume_uL, (flow * 0.5 * 1e9 * 207) / 210)).toBeLessThan(EXACT);
    expect(r.no_flow_below_kPa).toBe(3);
    expect(codes(plain({ station }), { pressure: 3e3 })).toContain('resin-does-not-flow');
    expect(shot(plain({ station }), { pressure: 3e3 }).result!.volume_uL).toBe(0);
  });

  it('needs neither connector nor dot nor density', () => {
    const resin = { rheology: { model: 'newtonian', viscosity: 2.4 } };
    const r = result(plain({ resin }));
    expect([r.mass_mg, r.reynolds, r.kinetic_pct, r.dot_diameter_mm, r.bore, r.hold_back]).toEqual(Array(6).fill(null));
    expect([r.error_to_aim_pct, r.within_window, r.air_bound_uL, r.drift]).toEqual(Array(4).fill(null));
  });
});

describe('temperature, age, lot and calibration', () => {
  const cured = (cure: Tree, process: Tree = {}) =>
    plain({ resin: { ...(PLAIN['resin'] as Tree), cure }, process: { ...process } });
  const base = () => result(plain()).volume_uL;

  it('doubles the viscosity at the pot life of factor two, and halves the shot', () => {
    const recipe = cured({ model: 'pot-life', time: 3600, factor: 2 });
    const r = result(recipe, { age: 3600 });
    expect(relative(r.viscosity_factor, 2)).toBeLessThan(EXACT);
    expect(relative(r.volume_uL, base() / 2)).toBeLessThan(EXACT);
    expect(r.age_min).toBe(60);
    // half the pot life: √2
    expect(relative(result(recipe, { age: 1800 }).viscosity_factor, Math.SQRT2)).toBeLessThan(EXACT);
  });

  it('makes the shot at `ready_after` unless told else', () => {
    const r = result(cured({ model: 'pot-life', time: 3600, factor: 2 }, { ready_after: 720 }));
    expect(r.age_min).toBe(12);
    expect(relative(r.viscosity_factor, 2 ** 0.2)).toBeLessThan(EXACT);
  });

  it('follows Arrhenius for the viscosity', () => {
    const resin = { ...(PLAIN['resin'] as Tree), activation_energy: 60e3 };
    // ln f = (60e3/8.314462618)(1/296.15 − 1/298.15) = 7216.34·2.26508e-5 = 0.163456
    const factor = Math.exp((60e3 / 8.31446261815324) * (1 / 296.15 - 1 / 298.15));
    expect(factor).toBeCloseTo(1.1776, 4);
    const r = result(plain({ resin, process: { temperature: 296.15 } }));
    expect(relative(r.volume_uL, base() / factor)).toBeLessThan(1e-9);
    expect(r.temperature_C).toBeCloseTo(23, 10);
    expect(relative(result(plain({ resin }), { temperature: 296.15 }).volume_uL, base() / factor)).toBeLessThan(1e-9);
  });

  it('multiplies by the lot factor, of the recipe or of the option', () => {
    const resin = { ...(PLAIN['resin'] as Tree), lot_factor: 1.25 };
    expect(relative(result(plain({ resin })).volume_uL, base() / 1.25)).toBeLessThan(EXACT);
    expect(relative(result(plain({ resin }), { lotFactor: 0.8 }).volume_uL, base() / 0.8)).toBeLessThan(EXACT);
  });

  it('is Q(pressure − offset)·(dwell − dead time)/factor with a calibration, for a shear-thinning resin too', () => {
    const calibration = { viscosity_factor: 1.3, pressure_offset: 10e3, dead_time: 0.02 };
    const resins: Tree[] = [
      { model: 'newtonian', viscosity: 2.4 },
      { model: 'power-law', K: 9.5, n: 0.71 },
      { model: 'cross', zero: 12, infinity: 0.8, time: 0.05, m: 0.8 },
      { model: 'herschel-bulkley', yield_stress: 85, K: 14, n: 0.62 },
    ];
    for (const rheology of resins) {
      const resin = { density: 1150, rheology };
      const flow = result(plain({ resin }), { pressure: 200e3 }).flow_uL_per_s;
      const r = result(plain({ resin, calibration }));
      expect(relative(r.volume_uL, (flow * (0.5 - 0.02)) / 1.3)).toBeLessThan(1e-8);
    }
  });

  it('says with the models that a calibration counts, and finds nothing wrong with it', () => {
    const calibration = { viscosity_factor: 1.3, pressure_offset: 10e3, dead_time: 0.02, date: '2026-11-20' };
    expect(result(plain({ calibration })).models).toContain(
      'calibration of 2026-11-20: viscosity factor 1.3, pressure offset 10 kPa, dead time 0.02 s',
    );
    expect(codes(plain({ calibration }))).toEqual(codes(plain()));
    expect(result(plain()).models.join()).not.toContain('calibration');
  });

  it('dispenses nothing beyond 90 % of the gel age', () => {
    // k = 1e-3/s, first order: α = 1 − e^(−kt); gel at α = 0.5: t = ln 2/k = 693.147 s; 90 %: 623.83 s
    const kinetics = { A1: 1e-3, E1: 0, A2: 0, E2: 0, m: 1, n: 1, gel_conversion: 0.5, c1: 1, c2: 0 };
    const recipe = cured({ model: 'castro-macosko', ...kinetics });
    expect(shot(recipe, { age: 630 }).result).toBeNull();
    expect(codes(recipe, { age: 630 })).toContain('age-past-gel');
    // α(600) = 1 − e^−0.6 = 0.451188; factor = 0.5/(0.5 − α) = 10.2427
    expect(result(recipe, { age: 600 }).viscosity_factor).toBeCloseTo(0.5 / (0.5 - (1 - Math.exp(-0.6))), 6);
  });

  it('warns of a pot life without activation energy away from its reference only', () => {
    const cure = { model: 'pot-life', time: 3600, factor: 2 };
    expect(codes(cured(cure, { temperature: 296.15 }))).toContain('cure-temperature');
    expect(codes(cured(cure, { temperature: 298.15 }))).not.toContain('cure-temperature');
    const knowing = { ...cure, activation_energy: 55e3 };
    expect(codes(cured(knowing, { temperature: 296.15 }))).not.toContain('cure-temperature');
  });
});

describe('air', () => {
  const valve = { model: 'iso6358', conductance: 3e-9, critical_ratio: 0.3 };
  const syringe = { barrel: 10e-6, fill: 5e-6, left_over: 0.3e-6, plunger_friction: 0 };

  it('gives exactly Q·dwell when rise and fall are equal', () => {
    const station = { air: { model: 'first-order', rise: 0.06, fall: 0.06, delay: 0.01 } };
    const r = result(plain({ station }));
    expect(relative(r.volume_uL, result(plain()).volume_uL)).toBeLessThan(EXACT);
    // ooze: fall·Q·(1 − e^(−(t − delay)/rise)) plus what leaves between the end of the dwell and the turn
    expect(r.ooze_uL).toBeGreaterThan(0);
  });

  it('comes to Q·dwell as the valve gets large, from whichever side', () => {
    const large = { ...valve, conductance: 3e-3 };
    const r = result(plain({ station: { air: large, syringe } }));
    expect(relative(r.volume_uL, result(plain()).volume_uL)).toBeLessThan(1e-5);
  });

  it('reports its own bound and the drift as the syringe empties', () => {
    const r = result(plain({ station: { air: valve, syringe } }));
    const adiabatic = result(plain({ station: { air: { ...valve, exponent: 1.4 }, syringe } }));
    const ends = [r.volume_uL, adiabatic.volume_uL].sort((a, b) => a - b);
    expect(r.air_bound_uL).toEqual([expect.closeTo(ends[0]!, 9), expect.closeTo(ends[1]!, 9)]);
    expect(r.drift!.full_uL).toBe(r.volume_uL);
    const late = result(plain({ station: { air: valve, syringe } }), { dispensed: 4.7e-6 });
    expect(r.drift!.nearly_empty_uL).toBeCloseTo(late.volume_uL, 12);
    expect(late.dispensed_mL).toBeCloseTo(4.7, 12);
  });

  it('asks for the barrel, and refuses a syringe that holds more than that', () => {
    const { barrel: _barrel, ...open } = syringe;
    expect(codes(plain({ station: { air: valve, syringe: open } }))).toContain('air-volume-unknown');
    expect(codes(plain({ station: { air: valve, syringe: { ...syringe, barrel: 4e-6 } } }))).toContain(
      'syringe-overfull',
    );
    expect(codes(plain({ station: { air: valve, syringe } }), { dispensed: 6e-6 })).toContain('syringe-empty');
  });
});

describe('warnings of a shot', () => {
  it('names the yield: it does not flow below 4·τ₀·L/d', () => {
    const resin = { density: 1150, rheology: { model: 'bingham', yield_stress: 60, viscosity: 2.2 } };
    // 4·60·12.7e-3/0.41e-3 = 7434.1 Pa
    const r = result(plain({ resin }));
    expect(relative(r.no_flow_below_kPa, (4 * 60 * 12.7e-3) / 0.41e-3 / 1e3)).toBeLessThan(EXACT);
    expect(codes(plain({ resin }), { pressure: 7.4e3 })).toContain('resin-does-not-flow');
    expect(codes(plain({ resin }), { pressure: 7.5e3 })).not.toContain('resin-does-not-flow');
  });

  it('speaks of the jet from 1 % of the pressure on, and of turbulence above Re 2000', () => {
    const thin = (viscosity: number) => ({ density: 1150, rheology: { model: 'newtonian', viscosity } });
    // ρv²/ΔP = ρ·ΔP·R⁴/(64·η²·L²): 1 % at η = √(ρ·ΔP·R⁴/(0.64·L²)) = 0.06429 Pa·s for 210 kPa
    const limit = Math.sqrt((1150 * 210e3 * 0.205e-3 ** 4) / (0.64 * 0.0127 ** 2));
    expect(codes(plain({ resin: thin(limit * 1.001) }))).not.toContain('kinetic-loss');
    expect(codes(plain({ resin: thin(limit * 0.999) }))).toContain('kinetic-loss');
    expect(codes(plain({ resin: thin(limit * 0.999) }))).not.toContain('flow-not-laminar');
    // Re = ρ·ΔP·R³/(4·η²·L)... = 2000 at η = √(ρ·ΔP·R³/(8000·L))
    const turbulent = Math.sqrt((1150 * 210e3 * 0.205e-3 ** 3) / (8000 * 0.0127));
    expect(codes(plain({ resin: thin(turbulent * 1.001) }))).not.toContain('flow-not-laminar');
    expect(codes(plain({ resin: thin(turbulent * 0.999) }))).toContain('flow-not-laminar');
  });

  it('names a steep cone and a shear rate outside the flow curve, with both numbers', () => {
    const cone = (length: number) => ({
      sections: [{ part: 'tip', diameter: [0.84e-3, 0.41e-3], length }],
      outside: 1e-3,
    });
    // half-angle atan(0.215/length): 15° at 0.8024 mm
    expect(codes(plain({ needle: cone(0.8e-3) }))).toContain('needle-cone-steep');
    expect(codes(plain({ needle: cone(0.81e-3) }))).not.toContain('needle-cone-steep');
    const table = (last: number) => ({
      density: 1150,
      rheology: {
        model: 'table',
        points: [
          [1, 2.4],
          [last, 2.4],
        ],
      },
    });
    const outside = shot(plain({ resin: table(700) })).findings.find(f => f.code === 'shear-outside-curve');
    expect(outside!.message).toContain('706.2'); // 1694.88/2.4
    expect(outside!.message).toContain('700');
    expect(codes(plain({ resin: table(710) }))).not.toContain('shear-outside-curve');
  });

  it.each([
    ['newtonian', { viscosity: 2.4 }],
    ['power-law', { K: 9.5, n: 0.71 }],
    ['herschel-bulkley', { yield_stress: 85, K: 14, n: 0.62 }],
    ['bingham', { yield_stress: 60, viscosity: 2.2 }],
    ['casson', { yield_stress: 60, viscosity: 2.2 }],
    ['cross', { zero: 12, infinity: 0.8, time: 0.05, m: 0.8 }],
    ['carreau-yasuda', { zero: 12, infinity: 0.8, time: 0.05, a: 1.3, n: 0.4 }],
  ])('speaks of a wall shear outside what a curve by %s was measured between, at either end', (model, numbers) => {
    const resin = (measured?: [number, number]) =>
      plain({ resin: { density: 1150, rheology: { model, ...numbers, ...(measured && { measured }) } } });
    const rate = shot(resin()).result!.wall_shear_rate_per_s;
    const said = (from: number, to: number) => codes(resin([from * rate, to * rate])).includes('shear-outside-curve');
    expect(codes(resin())).not.toContain('shear-outside-curve');
    expect([said(0.5, 1.001), said(0.5, 0.999), said(1.001, 2), said(0.999, 2)]).toEqual([false, true, true, false]);
    expect(shot(resin([1, 2])).findings.find(f => f.code === 'shear-outside-curve')!.path).toBe(
      'resin.rheology.measured',
    );
  });

  it('moves the measured range with the resin: twice as thick, a Cross curve has half the shear rates at its stresses', () => {
    const resin = {
      density: 1150,
      rheology: { model: 'cross', zero: 12, infinity: 0.8, time: 0.05, m: 0.8, measured: [1, 2] },
    };
    const message = (lotFactor: number) =>
      shot(plain({ resin }), { lotFactor }).findings.find(f => f.code === 'shear-outside-curve')!.message;
    expect(message(1)).toContain('from 1 to 2 1/s');
    expect(message(2)).toContain('from 0.5 to 1 1/s');
  });

  it('speaks of head and meniscus where they pass 1 % of the pressure', () => {
    const recipe = exampleRecipe();
    // 4γ/d = 4·42e-3/0.4128e-3 = 407 Pa; head = 1150·9.80665·(12.7 mm + 5 mL/196.07 mm²) = 430.8 Pa
    expect(codes(recipe, { pressure: 44e3 })).not.toContain('head-left-out');
    expect(codes(recipe, { pressure: 43e3 })).toContain('head-left-out');
    expect(codes(recipe, { pressure: 41e3 })).not.toContain('meniscus-left-out');
    expect(codes(recipe, { pressure: 40e3 })).toContain('meniscus-left-out');
  });

  it('lists what is missing, all at once', () => {
    const outcome = shot(buildRecipe({ needle: { ends: 'entrance' } }));
    expect(outcome.result).toBeNull();
    expect(outcome.findings.map(f => f.path)).toEqual(
      expect.arrayContaining(['needle.length', 'needle.bore', 'resin.rheology', 'settings.pressure', 'settings.dwell']),
    );
  });

  it('says which number of the flow model cannot be', () => {
    const rheology = { model: 'cross', zero: 12, infinity: 0, time: 0.05, m: 1.4 };
    const outcome = shot(plain({ resin: { rheology } }));
    expect(outcome.result).toBeNull();
    expect(outcome.findings[0]).toMatchObject({ code: 'flow-model-invalid', path: 'resin.rheology.m' });
  });
});

describe('the shot against the connector', () => {
  it('measures against the backfill aim, too much above zero, and counts the window’s ends as inside', () => {
    const recipe = exampleRecipe();
    const r = result(recipe);
    expect(r.error_to_aim_pct).toBeCloseTo((r.volume_uL / r.aim_uL! - 1) * 100, 10);
    const [min, max] = r.window_uL!;
    const dwellOf = (volume: number) => (0.53 * volume) / r.volume_uL; // ideal air: in proportion
    expect(result(recipe, { dwell: dwellOf(min) }).within_window).toBe(true);
    expect(result(recipe, { dwell: dwellOf(max) }).within_window).toBe(true);
    expect(result(recipe, { dwell: dwellOf(min) * 0.9999 }).within_window).toBe(false);
    expect(result(recipe, { dwell: dwellOf(max) * 1.0001 }).within_window).toBe(false);
  });

  it('fills a plain bore in the closed form, and the bead only from then on', () => {
    // cavity of the bore alone behind the needle’s seat: t = (A/ΔP)(Rn·x + ½·rb·x²)
    const recipe = exampleRecipe({
      'connector.cavity': [
        { part: 'bore', diameter: 126e-6, length: 5.5e-3 },
        { part: 'tube', diameter: 1.1e-3, length: 7.6e-3 },
      ],
      'needle.ends': 'none',
      'resin.cure': { model: 'none' },
      'process.temperature': 298.15,
    });
    const r = result(recipe);
    const [viscosity, net, d, x] = [2.4, 207e3, 126e-6, 5.5e-3];
    const needle = (128 * viscosity * 12.7e-3) / (Math.PI * 0.4128e-3 ** 4);
    const bore = (128 * viscosity) / (Math.PI * d ** 4);
    const time = (((Math.PI / 4) * d ** 2) / net) * (needle * x + (bore * x * x) / 2);
    expect(relative(r.bore!.time_to_bead_s!, time)).toBeLessThan(1e-9);
    expect(relative(r.bore!.needle_share_pct!, (100 * needle) / (needle + bore * x))).toBeLessThan(1e-9);
    // wanted bead: cap of 0.5 mm at 60°, t = tan 30°
    const t = Math.tan(Math.PI / 6);
    const bead = (Math.PI / 48) * 0.5e-3 ** 3 * t * (3 + t * t);
    const growth = net / (needle + bore * x);
    expect(relative(r.bore!.time_to_wanted_bead_s!, time + bead / growth)).toBeLessThan(1e-9);
    expect(result(recipe, { dwell: time * 0.999 }).bore!.bead_diameter_mm).toBeNull();
    const held = result(recipe, { dwell: time + bead / growth });
    expect(held.bore!.bead_diameter_mm).toBeCloseTo(0.5, 8);
  });
});
