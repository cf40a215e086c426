import { describe, expect, it } from 'vitest';
import { SPREAD_DEFAULTS, spread } from '../../../src/analysis/rehearse/spread.ts';
import { predictSpread } from '../../../src/analysis/spread/predict-spread.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { normalCdf } from '../../../src/stats/distributions.ts';
import { buildRecipe, exampleRecipe, type Tree } from '../../helpers/recipe-builder.ts';

const leaf = (value: number, relative: number, more: object = {}) => ({ value, halfWidth: value * relative, ...more });

/** A plain Hagen–Poiseuille shot: no ends, no temperature, no age, no connector. */
function plainShot(parts: { needle?: object; viscosity?: unknown; accuracy?: number; jitter?: number } = {}): Tree {
  return {
    needle: { length: 12.7e-3, bore: 0.41e-3, outside: 0.72e-3, ends: 'none', ...parts.needle },
    resin: { rheology: { model: 'newtonian', viscosity: parts.viscosity ?? 2.4 } },
    station: {
      pressure: { min: 1e4, max: 5.5e5, step: 1e3, ...(parts.accuracy && { accuracy: parts.accuracy }) },
      dwell: { min: 0.05, max: 99, step: 0.01, ...(parts.jitter && { jitter: parts.jitter }) },
    },
    settings: { pressure: 210e3, dwell: 0.53 },
  };
}

/** V = π·p·R⁴·t/(8·η·L), by hand. */
const hagenPoiseuille = (d: number, length: number, viscosity: number, p: number, t: number) =>
  (Math.PI * p * (d / 2) ** 4 * t) / (8 * viscosity * length);

function resultOf(recipe: Recipe, options = {}) {
  const { result, findings } = spread(recipe, { samples: 20_000, ...options });
  if (result === null) throw new Error(JSON.stringify(findings));
  return { ...result, codes: findings.map(({ code }) => code) };
}

/** What is said about the samples where no option gives them. */
function resultOfDefaults(recipe: Recipe): string {
  return spread(recipe).result!.defaults.find(text => text.startsWith('samples'))!;
}

it('has no result where nothing is set and no setpoint can be, and says what stands in the way', () => {
  // A shot of 0.4 µL takes less than the least dwell at the least pressure.
  const recipe = exampleRecipe({
    settings: null,
    'station.pressure': { min: 540e3, max: 550e3, step: 1e3 },
    'station.dwell': { min: 50, max: 99, step: 0.01 },
  });
  const { result, findings } = spread(recipe, { samples: 1000 });
  expect(result).toBeNull();
  expect(findings.filter(({ severity }) => severity === 'error').map(({ code }) => code)).toContain(
    'setpoint-impossible',
  );
});

const noConnectorTolerances = {
  'connector.cavity': [
    { part: 'bore', diameter: 126e-6, length: 5.5e-3 },
    { part: 'lead-in', diameter: [126e-6, 0.9e-3], length: 0.6e-3 },
    { part: 'tube', diameter: 1.1e-3, length: 7e-3 },
  ],
  'connector.cable': [
    { part: 'fibre', diameter: 125e-6, length: 6.6e-3 },
    { part: 'coating', diameter: 245e-6, length: 1e-3 },
    { part: 'buffer', diameter: 0.9e-3, length: 20e-3 },
  ],
};

describe('first order', () => {
  it('is the relative rule for a product of powers: d⁴, L⁻¹, η⁻¹, p, t', () => {
    // JCGM 100, 5.1.6: (u/V)² = Σ (pᵢ·uᵢ/xᵢ)². Half-widths at coverage 2, so relative u = half of them.
    const recipe = buildRecipe(
      plainShot({
        needle: { bore: leaf(0.41e-3, 0.02, { per: 'needle' }), length: leaf(12.7e-3, 0.01, { per: 'needle' }) },
        viscosity: leaf(2.4, 0.06),
        accuracy: 2e3,
        jitter: 0.003,
      }),
    );
    const { first_order: first } = resultOf(recipe);
    const terms = [
      ['needle.bore', 4, 0.01],
      ['needle.length', -1, 0.005],
      ['resin.rheology.viscosity', -1, 0.03],
      ['station.pressure.accuracy', 1, 1e3 / 210e3],
      ['station.dwell.jitter', 1, 0.0015 / 0.53],
    ] as const;
    const variance = terms.reduce((sum, [, power, u]) => sum + (power * u) ** 2, 0);
    const volume = hagenPoiseuille(0.41e-3, 12.7e-3, 2.4, 210e3, 0.53) * 1e9;
    // The derivatives are numeric, with an error of the fourth order of a twentieth of u: below 1e-8 here.
    expect(first.mean_uL / volume).toBeCloseTo(1, 12);
    expect(first.standard_uncertainty_uL / (volume * Math.sqrt(variance))).toBeCloseTo(1, 7);
    for (const [path, power, u] of terms) {
      const input = first.inputs.find(each => each.path === path)!;
      expect(input.contribution_uL / (volume * Math.abs(power) * u)).toBeCloseTo(1, 7);
      expect(Math.sign(input.sensitivity)).toBe(Math.sign(power));
      expect(input.share_pct / ((100 * (power * u) ** 2) / variance)).toBeCloseTo(1, 6);
    }
    const bore = first.inputs.find(({ path }) => path === 'needle.bore')!;
    expect(bore).toMatchObject({ unit: 'mm', sensitivity_unit: 'uL/mm', value: 0.41 });
    expect(bore.sensitivity / ((4 * volume) / 0.41)).toBeCloseTo(1, 7);
  });

  it('the bore of a 30 G needle from the chart: 6.9 % of the bore, 28 % of the flow', () => {
    // ±0.019 on 0.159 mm, rectangular: 0.019/√3/0.159 = 6.9 %, four times that is 28 % (JCGM 100, 4.3.7 and 5.1.6).
    const recipe = buildRecipe(plainShot({ needle: { gauge: '30', bore: null, outside: null } }));
    const { first_order: first } = resultOf(withTable(recipe));
    const bore = first.inputs.find(({ path }) => path === 'needle.bore')!;
    expect((bore.standard_uncertainty / bore.value) * 100).toBeCloseTo(6.9, 1);
    expect(Math.round(first.relative_pct)).toBe(28);
  });

  it('adds correlated inputs as JCGM 100, 5.2.2 does', () => {
    const tree = {
      ...plainShot({ viscosity: leaf(2.4, 0.06), needle: { length: leaf(12.7e-3, 0.04, { per: 'needle' }) } }),
      correlations: [{ between: ['resin.rheology.viscosity', 'needle.length'], r: 0.6, path: 'correlations[0]' }],
    };
    const { first_order: first, monte_carlo: run } = resultOf(withCorrelations(tree), { samples: 100_000 });
    // Both exponents are −1: u² = 3² + 2² + 2·0.6·3·2 in per cent.
    expect(first.relative_pct).toBeCloseTo(Math.sqrt(9 + 4 + 2 * 0.6 * 6), 5);
    // The shot is 1/(x·y), bent a little: 1 % on the standard deviation, and as much from 1e5 samples.
    expect(run.relative_pct / first.relative_pct).toBeCloseTo(1, 1.5);
  });
});

/** The gauge gives what the recipe leaves out. */
function withTable(recipe: Recipe): Recipe {
  const { bore: _bore, outside: _outside, ...needle } = recipe.needle!;
  return { ...recipe, needle };
}

/** Correlations are no quantities. */
function withCorrelations(tree: Tree): Recipe {
  const { correlations, ...rest } = tree;
  return { ...buildRecipe(rest), correlations: correlations as Recipe['correlations'] };
}

describe('Monte Carlo', () => {
  const samples = 200_000;

  it('has the mean and the standard deviation of a uniform bore to the fourth power', () => {
    // x uniform on 1 ± a: E xᵏ = ((1 + a)ᵏ⁺¹ − (1 − a)ᵏ⁺¹)/(2a(k + 1)); the shot goes with x⁴, its square with x⁸.
    const a = 0.1;
    const moment = (k: number) => ((1 + a) ** (k + 1) - (1 - a) ** (k + 1)) / (2 * a * (k + 1));
    const bore = leaf(0.41e-3, a, { distribution: 'uniform', per: 'needle' });
    const { monte_carlo: run, agreement, codes } = resultOf(buildRecipe(plainShot({ needle: { bore } })), { samples });
    const nominal = hagenPoiseuille(0.41e-3, 12.7e-3, 2.4, 210e3, 0.53) * 1e9;
    const sd = Math.sqrt(moment(8) - moment(4) ** 2);
    // Standard errors: sd/√n of the mean (5e-4 of it), about 1/√(2n) of the sd; five of them.
    expect(Math.abs(run.mean_uL / nominal - moment(4))).toBeLessThan((5 * sd) / Math.sqrt(samples));
    expect(Math.abs(run.standard_deviation_uL / nominal / sd - 1)).toBeLessThan(5 / Math.sqrt(2 * samples));
    // The density falls with the shot, so the shortest interval starts at the low end and leaves out the top 5 %.
    expect(run.interval_uL[0] / nominal).toBeCloseTo((1 - a) ** 4, 3);
    expect(run.interval_uL[1] / nominal).toBeCloseTo((1 - a + 0.95 * 2 * a) ** 4, 2);
    expect(agreement.agrees).toBe(false);
    expect(codes).toContain('spread-not-linear');
  });

  it('agrees with first order, and counts the share outside, where the shot is a straight line', () => {
    // The dwell alone deviates, normal: the shot is normal with the same relative standard deviation.
    const recipe = exampleRecipe({
      ...noConnectorTolerances,
      ...{
        'needle.bore': 0.41e-3,
        'needle.outside': 0.72e-3,
        'resin.rheology.viscosity': 2.4,
        'process.temperature': 296.15,
      },
      ...{ 'station.pressure.accuracy': null, 'station.dwell.jitter': 0.2, 'settings.dwell': 0.55 },
    });
    const { monte_carlo: run, first_order: first, window_uL: window, agreement } = resultOf(recipe, { samples });
    const sd = (first.mean_uL * 0.1) / 0.55; // jitter 0.2 s at coverage 2
    const low = normalCdf((window![0] - first.mean_uL) / sd);
    const high = normalCdf((first.mean_uL - window![1]) / sd);
    expect(first.standard_uncertainty_uL / sd).toBeCloseTo(1, 9);
    expect(first.outside_pct! / (100 * (low + high))).toBeCloseTo(1, 8);
    expect(first.cp! / ((window![1] - window![0]) / (6 * sd))).toBeCloseTo(1, 9);
    expect(first.cpk! / (Math.min(first.mean_uL - window![0], window![1] - first.mean_uL) / (3 * sd))).toBeCloseTo(
      1,
      9,
    );
    expect(agreement.agrees).toBe(true);
    const error = (share: number) => 500 * Math.sqrt((share * (1 - share)) / samples); // five standard errors, in %
    expect(Math.abs(run.too_little_pct! - 100 * low)).toBeLessThan(error(low));
    expect(Math.abs(run.too_much_pct! - 100 * high)).toBeLessThan(error(high));
    expect(Math.abs(run.cp! / first.cp! - 1)).toBeLessThan(5 / Math.sqrt(2 * samples));
    expect(run.cpk_from_outside).toBeCloseTo(run.cpk!, 1);
    expect(run.redrawn).toBe(0);
  });

  it('gives the same for the same seed, and another sample for another', () => {
    const run = (seed: number) => resultOf(exampleRecipe({ 'process.takt': null }), { seed }).monte_carlo;
    expect(run(3)).toEqual(run(3));
    expect(run(4).mean_uL).not.toBe(run(3).mean_uL);
    expect(run(3)).toMatchObject({ samples: 20_000, seed: 3, way: 'product' });
  });

  it('takes fewer samples where one costs more, and as many as it is told', () => {
    const cross = (zero: unknown) => ({
      'resin.rheology': { model: 'cross', zero, infinity: 0.8, time: 0.05, m: 0.8 },
    });
    const lag = { 'station.air': { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01 } };
    const { samples } = SPREAD_DEFAULTS;
    // Without a takt nothing is rehearsed, which takes its time.
    const taken = (overrides: object) =>
      Number(/\d+/.exec(resultOfDefaults(exampleRecipe({ 'process.takt': null, ...overrides })))?.[0]);
    expect(taken({ ...lag, ...cross(12) })).toBe(samples.air);
    expect(taken(cross(leaf(12, 0.05)))).toBe(samples.curve);
    expect(resultOf(exampleRecipe({ ...lag, 'process.takt': null }), { samples: 300 }).monte_carlo.samples).toBe(300);
  });

  it('draws again what cannot be, and says how often', () => {
    // Half-width 90 % at coverage 1: below zero beyond 1/0.9 standard deviations, Φ(−1.111) = 13.3 % of all draws.
    const viscosity = leaf(2.4, 0.9, { coverage: 1 });
    const { monte_carlo: run } = resultOf(buildRecipe(plainShot({ viscosity })));
    expect(run.redrawn / (run.samples + run.redrawn)).toBeCloseTo(normalCdf(-1 / 0.9), 1.5);
  });

  it('tells its progress, from nothing to all', () => {
    const shares: number[] = [];
    resultOf(exampleRecipe(), { progress: (share: number) => shares.push(share) });
    expect(shares.length).toBeGreaterThan(100);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    expect(shares.at(-1)).toBeCloseTo(1, 6);
  });
});

describe('the connector’s own tolerances', () => {
  const steadyShot = {
    'resin.rheology.viscosity': 2.4,
    'process.temperature': 296.15,
    'needle.bore': 0.41e-3,
    'needle.outside': 0.72e-3,
  };

  it('widen the margin, not the shot', () => {
    const { first_order: first, monte_carlo: run } = resultOf(exampleRecipe(steadyShot), { samples: 200_000 });
    // The shot, by hand: V ∝ (p − friction)·t, so u/V = hypot(1/(210 − 3), 0.0015/0.53) and nothing of the connector.
    const expected = Math.hypot(1 / 207, 0.0015 / 0.53);
    expect(first.relative_pct / 100 / expected).toBeCloseTo(1, 7);
    // The relative error of a standard deviation is 1/√(2n); five of them.
    expect(Math.abs(run.relative_pct / 100 / expected - 1)).toBeLessThan(5 / Math.sqrt(2 * 200_000));
    // The bore's length ±0.1 mm, flat: lead-in, seat and tube move with it and the reach does not, so up to the reach the
    // tube is shorter, and as much fibre is in the bore: −(π/4)(1.1² − 0.125²)·1.03 uL/mm.
    const byLength = (Math.PI / 4) * (1.1 ** 2 - 0.125 ** 2) * 1.03;
    const length = first.inputs.find(({ path }) => path === 'connector.cavity[0].length')!;
    expect(length.share_pct).toBe(0);
    expect(length.sensitivity).toBe(0);
    expect(length.margin_sensitivity! / byLength).toBeCloseTo(1, 7); // a larger aim is a smaller margin
    expect(length.margin_contribution_uL! / ((byLength * 0.1) / Math.sqrt(3))).toBeCloseTo(1, 7);
    expect(length.margin_share_pct!).toBeGreaterThan(90);
    expect(first.margin!.standard_uncertainty_uL).toBeGreaterThan(3 * first.standard_uncertainty_uL);
    expect(run.margin!.standard_deviation_uL).toBeGreaterThan(3 * run.standard_deviation_uL);
  });

  it('shares of shot and of margin add up to all of each, connector and needle outside having none of the shot', () => {
    const { inputs } = resultOf(exampleRecipe()).first_order;
    const sum = (of: (input: (typeof inputs)[number]) => number) =>
      inputs.reduce((total, input) => total + of(input), 0);
    expect(sum(input => input.share_pct)).toBeCloseTo(100, 9);
    expect(sum(input => input.margin_share_pct!)).toBeCloseTo(100, 9);
    const outsideShot = inputs.filter(({ path }) => /^connector|outside$/.test(path));
    expect(outsideShot.length).toBeGreaterThan(3);
    for (const input of outsideShot) expect(input).toMatchObject({ share_pct: 0, contribution_uL: 0 });
    // What both depend on gives both the same, with independent inputs: u_margin² = u_shot² + u_aim².
    const bore = inputs.find(({ path }) => path === 'needle.bore')!;
    expect(bore.margin_contribution_uL! / bore.contribution_uL).toBeCloseTo(1, 12);
    expect(bore.share_pct).toBeGreaterThan(bore.margin_share_pct!);
  });

  it('the allowance moves the aim as 1/(1 + allowance), and so Cp, but not the shot', () => {
    const allowance = { value: 0.03, halfWidth: 0.02, distribution: 'uniform', per: 'connector' };
    const jitter = { ...noConnectorTolerances, ...steadyShot, 'station.pressure.accuracy': null };
    const result = resultOf(exampleRecipe({ ...jitter, 'connector.allowance': allowance }), { samples: 200_000 });
    const { first_order: first, monte_carlo: run, aim_uL: aim, window_uL: window } = result;
    const shot = (first.mean_uL * 0.0015) / 0.53;
    const ofAim = (aim! / 1.03) * (0.02 / Math.sqrt(3)); // aim = free volume·(1 + allowance), exactly a straight line
    const sd = Math.hypot(shot, ofAim);
    expect(first.standard_uncertainty_uL / shot).toBeCloseTo(1, 9);
    expect(first.margin!.standard_uncertainty_uL / sd).toBeCloseTo(1, 9);
    expect(first.margin!.mean_uL).toBeCloseTo(first.mean_uL - aim!, 12);
    expect(first.cp! / ((window![1] - window![0]) / (6 * sd))).toBeCloseTo(1, 9);
    expect(Math.abs(run.cp! / first.cp! - 1)).toBeLessThan(5 / Math.sqrt(2 * 200_000));
    expect(run.margin!.mean_uL - (run.mean_uL - aim!)).toBeCloseTo(0, 3); // the aim's own mean: sd/√n
    const share = first.inputs.find(({ path }) => path === 'connector.allowance')!.margin_share_pct!;
    expect(share / (100 * (ofAim / sd) ** 2)).toBeCloseTo(1, 9);
  });

  it('are one dimension where they have one source', () => {
    const dimension = { value: 1.1e-3, halfWidth: 0.02e-3, distribution: 'uniform', per: 'connector' };
    const cavity = [
      { part: 'bore', diameter: 126e-6, length: 5.5e-3 },
      { part: 'front', diameter: dimension, length: 4e-3 },
      { part: 'rear', diameter: dimension, length: 4e-3 },
    ];
    const recipe = exampleRecipe({ ...noConnectorTolerances, 'connector.cavity': cavity });
    const connector = { ...recipe.connector!, cavity: recipe.connector!.cavity!.map(section => ({ ...section })) };
    const shared = { ...connector.cavity[1]!.front, source: 'slim.yaml#cavity[1].diameter' };
    const together = connector.cavity.map((s, i) =>
      i === 0 ? s : { ...s, front: { ...shared, path: s.front.path }, rear: { ...shared, path: s.front.path } },
    );
    const one = resultOf({ ...recipe, connector: { ...connector, cavity: together } }).first_order.inputs;
    const two = resultOf(recipe).first_order.inputs;
    const of = (inputs: typeof one) =>
      inputs.filter(({ path }) => path.startsWith('connector.cavity')).map(input => input.margin_sensitivity!);
    expect(of(one)).toHaveLength(1);
    expect(one.find(({ paths }) => paths.length === 2)!.paths).toEqual([
      'connector.cavity[1].diameter',
      'connector.cavity[2].diameter',
    ]);
    // A derivative by both together is the sum of the two.
    expect(of(one)[0]! / (of(two)[0]! + of(two)[1]!)).toBeCloseTo(1, 7);
  });
});

describe('after the trim', () => {
  it('what differs from shot to shot and connector to connector is left about the aim where the check is exact', () => {
    const result = resultOf(exampleRecipe({ 'process.takt': null })); // without a takt no run can be rehearsed
    const { after_trim: after, first_order: first } = result;
    expect(after!.rehearsal).toBeNull();
    // The outside of the needle moves its seat, and no trim the seat.
    expect(after!.trimmed).toEqual(['needle.bore', 'resin.rheology.viscosity', 'process.temperature']);
    const left = first.inputs.filter(({ path }) => !after!.trimmed.includes(path));
    // At another dwell the shares of the shot go with it: within the 2 % that the trim changes the dwell by.
    const expected = Math.hypot(...left.map(input => input.margin_contribution_uL!));
    expect(after!.first_order.margin!.standard_uncertainty_uL / expected).toBeCloseTo(1, 1.5);
    expect(Math.abs(after!.first_order.margin!.mean_uL)).toBeLessThan((0.5 * 0.01 * first.mean_uL) / 0.53 + 1e-9);
    expect(after!.monte_carlo.margin!.standard_deviation_uL).toBeLessThan(
      result.monte_carlo.margin!.standard_deviation_uL / 4,
    );
  });

  it('with the check that a recipe has, dead band, reading, program and drift are left as well', () => {
    const { after_trim: after, measures, first_order: first } = resultOf(exampleRecipe(), { samples: 30_000 });
    const left = first.inputs.filter(({ path }) => !after!.trimmed.includes(path));
    const ideal = Math.hypot(...left.map(input => input.margin_contribution_uL!));
    expect(after!.monte_carlo.margin!.standard_deviation_uL).toBeGreaterThan(1.3 * ideal);
    expect(Math.abs(after!.first_order.cpk! / after!.monte_carlo.cpk! - 1)).toBeLessThan(0.1);
    expect(after!.rehearsal).toMatchObject({ check: { kind: 'dots', readings: 3 }, syringes: 300 });
    const trim = measures.find(({ action }) => action.includes('release'))!;
    expect(trim.cpk).toBe(after!.monte_carlo.cpk);
    expect(trim.standard_deviation_uL).toBe(after!.monte_carlo.margin!.standard_deviation_uL);
  });

  it('measures are listed by what they leave, and one that measures an input removes its share but for what the measuring misses', () => {
    const { measures, first_order: first } = resultOf(exampleRecipe(), { samples: 200_000 });
    const left = measures.map(({ standard_deviation_uL }) => standard_deviation_uL);
    expect(left).toEqual([...left].sort((a, b) => a - b));
    expect(measures[0]!.action).toContain('release');
    const bore = measures.find(({ action }) => action.includes('bore'))!;
    // First order and Monte Carlo differ by the bend of the fourth power: some per cent.
    const input = first.inputs.find(({ path }) => path === 'needle.bore')!;
    const due = input.margin_share_pct! * (1 - (5e-3 / input.half_width) ** 2); // known to ± 5 µm, half_width in mm
    expect(Math.abs(bore.share_removed_pct - due)).toBeLessThan(5);
  });

  it('a lot that is weighed is known to 2 %, and one that the recipe knows as well gains nothing', () => {
    const of = (halfWidth: number) => ({
      'process.takt': null,
      'resin.rheology.viscosity': { value: 2.4, halfWidth, distribution: 'normal', per: 'lot' },
    });
    const { measures, first_order: first } = resultOf(exampleRecipe(of(0.36)), { samples: 100_000 });
    const lot = measures.find(({ action }) => action.includes('lot'))!;
    const input = first.inputs.find(({ path }) => path === 'resin.rheology.viscosity')!;
    const due = input.margin_share_pct! * (1 - (0.02 / 0.15) ** 2);
    expect(Math.abs(lot.share_removed_pct - due)).toBeLessThan(4 * lot.share_removed_error_pct + 2);
    const known = resultOf(exampleRecipe(of(0.048)), { samples: 1000 }).measures;
    expect(known.some(({ action }) => action.includes('lot'))).toBe(false);
  });
});

describe('what would help', () => {
  it('a measure is compared with the same draws: what can only help never shows as harm', () => {
    for (let seed = 1; seed <= 5; seed++) {
      const { measures } = resultOf(exampleRecipe({ 'process.takt': null }), { samples: 1000, seed });
      for (const { share_removed_pct } of measures) expect(share_removed_pct).toBeGreaterThanOrEqual(0);
      const pressure = measures.find(({ action }) => action.includes('pressure'))!;
      // First order: 0.48 % of the shot's 17 %, halved: 0.06 % of the variance.
      expect(pressure.share_removed_pct).toBeLessThan(0.5);
    }
  });

  it('a difference within twice its standard error is shown as none, with the figures of the recipe as it is', () => {
    // Thirty thousandths of a second of jitter: a hundredth of a per mille of the variance.
    const recipe = exampleRecipe({ 'process.takt': null, 'station.dwell.jitter': 3e-5 });
    const { measures, monte_carlo: whole } = resultOf(recipe, { samples: 1000 });
    for (const { told, share_removed_pct: removed, share_removed_error_pct: error, ...m } of measures) {
      if (told) expect(Math.abs(removed)).toBeGreaterThan(2 * error);
      else {
        expect(removed).toBe(0);
        expect(m).toMatchObject({ cpk: whole.cpk, outside_pct: whole.outside_pct });
      }
    }
    expect(measures.some(({ told }) => told)).toBe(true);
  });

  it('the share that a measure removes is that of first order, within its error', () => {
    const exact = { 'process.takt': null, 'needle.bore': 0.41e-3, 'needle.outside': 0.72e-3 };
    const { measures, first_order: first } = resultOf(exampleRecipe(exact), { samples: 40_000 });
    const share = (path: string) => first.inputs.find(input => input.path === path)!.margin_share_pct!;
    const temperature = measures.find(({ action }) => action.includes('temperature'))!;
    const due = 0.75 * share('process.temperature'); // half the deviation leaves a quarter of the variance
    expect(Math.abs(temperature.share_removed_pct - due)).toBeLessThan(4 * temperature.share_removed_error_pct + 1);
  });
});

it('none outside of n samples is at most 1 − 0.05^(1/n), and no error of zero', () => {
  const held = { 'needle.bore': 0.413e-3, 'resin.rheology.viscosity': 2.4, 'process.temperature': 296.15 };
  const { monte_carlo: run } = resultOf(exampleRecipe({ 'process.takt': null, ...held }), { samples: 500 });
  expect(run.outside_pct).toBe(0);
  expect(run.outside_error_pct).toBeNull();
  expect(run.outside_interval_pct![1]).toBeCloseTo(100 * (1 - 0.05 ** (1 / 500)), 9);
});

describe('slow air', () => {
  it('says its model’s bound, and what a nearly empty syringe gives', () => {
    const air = {
      ...{ model: 'iso6358', conductance: 2e-9, critical_ratio: 0.3, exhaust_conductance: 2e-9 },
      ...{ exhaust_critical_ratio: 0.3, vent_to: 0, exponent: 1 },
    };
    const recipe = exampleRecipe({ 'station.air': air, 'process.takt': null });
    const { defaults } = resultOf(recipe, { samples: 100 });
    expect(defaults.find(text => text.startsWith('station.air.exponent'))).toMatch(/(more|less), not counted$/);
    expect(defaults.find(text => text.startsWith('a nearly empty syringe'))).toMatch(/(more|less), not counted/);
  });
});

describe('what is said', () => {
  const of = (recipe: Recipe) => spread(recipe, { samples: 2_000 });

  it('a correlation with an unknown path is an error with a suggestion', () => {
    const recipe = {
      ...exampleRecipe(),
      correlations: [{ between: ['needle.bore', 'process.temperatur'] as const, r: 0.5, path: 'correlations[0]' }],
    };
    const { result, findings } = of(recipe);
    expect(result).toBeNull();
    expect(findings.at(-1)).toMatchObject({
      code: 'path-unknown',
      severity: 'error',
      path: 'correlations[0].between[1]',
    });
    expect(findings.at(-1)!.help).toContain('process.temperature');
  });

  it('correlations that cannot be, or come twice, are errors', () => {
    const paths = ['needle.bore', 'process.temperature', 'resin.rheology.viscosity'] as const;
    const pair = (i: number, j: number, r: number) => ({
      between: [paths[i]!, paths[j]!] as const,
      r,
      path: 'correlations',
    });
    const codes = (...correlations: ReturnType<typeof pair>[]) =>
      of({ ...exampleRecipe(), correlations }).findings.map(({ code }) => code);
    expect(codes(pair(0, 1, 0.9), pair(1, 2, 0.9), pair(0, 2, -0.9))).toContain('spread-correlation-impossible');
    expect(codes(pair(0, 1, 0.3), pair(1, 0, 0.4))).toContain('spread-correlation-twice');
    expect(codes(pair(0, 1, 0.3), pair(1, 2, 0.3))).not.toContain('spread-correlation-impossible');
  });

  it('without tolerances the spread is zero, and a warning says so', () => {
    const { result, findings } = of(buildRecipe(plainShot()));
    expect(findings.map(({ code }) => code)).toEqual(['spread-no-tolerance']);
    expect(result!.first_order).toMatchObject({ standard_uncertainty_uL: 0, inputs: [] });
    expect(result!.monte_carlo).toMatchObject({ standard_deviation_uL: 0, outside_pct: null, cp: null });
    expect(result!.after_trim).toBeNull();
  });

  it('without settings the setpoint is taken, and named', () => {
    const { result } = of(exampleRecipe({ settings: null }));
    expect(result!.setting).toBe('setpoint');
    expect(Math.abs(result!.first_order.margin!.mean_uL / result!.aim_uL!)).toBeLessThan(0.01); // a tenth of the tolerance
  });

  it('too few samples give no verdict', () => {
    const { result, findings } = spread(exampleRecipe(), { samples: 100 });
    expect(result!.agreement.agrees).toBeNull();
    expect(findings.map(({ code }) => code)).toContain('spread-few-samples');
  });

  it('a resin that rests, and a recipe without a resin, give errors', () => {
    const still = of(exampleRecipe({ 'station.syringe.plunger_friction': 300e3 }));
    expect(still.result).toBeNull();
    expect(still.findings.some(({ code }) => code === 'resin-does-not-flow')).toBe(true);
    expect(of(exampleRecipe({ resin: null })).findings.some(({ severity }) => severity === 'error')).toBe(true);
  });
});

describe('the prediction for rules', () => {
  it('is the first order of the command, and null without settings', () => {
    const predicted = predictSpread(exampleRecipe())!;
    const { first_order: first } = resultOf(exampleRecipe());
    // One step in place of two: an error of second order in a tenth of u.
    expect((predicted.uncertainty * 1e9) / first.margin!.standard_uncertainty_uL).toBeCloseTo(1, 3);
    expect(predicted.largest!.path).toBe('needle.bore');
    expect(predicted.outside! * 100).toBeCloseTo(first.outside_pct!, 1);
    expect(predictSpread(exampleRecipe({ settings: null }))).toBeNull();
  });
});
