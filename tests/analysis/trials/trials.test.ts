import { describe, expect, test } from 'vitest';
import { prepareDelivery } from '../../../src/analysis/delivery/operating-point.ts';
import { type FitRow, fit as fitTrials } from '../../../src/analysis/fit/fit.ts';
import { type TrialsOptions, trials } from '../../../src/analysis/trials/trials.ts';
import { designInformation, halfWidths, type TrialCell } from '../../../src/analysis/trials/trials-precision.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const friction = 3e3;
/** Newtonian, ideal air, no ageing: ∂ln V/∂offset = −1/(P − friction), ∂ln V/∂dead time = −1/dwell. */
const recipe = exampleRecipe({ 'needle.bore': 0.41e-3, 'resin.cure': { model: 'none' } });
const codes = (findings: readonly { code: string }[]) => findings.map(f => f.code);
const run = (options: TrialsOptions = {}, of = recipe) => trials(of, options);

describe('the run sheet', () => {
  test('has every setting at every age equally often, in an order that the seed fixes', () => {
    const options = { ages: [900, 3000], replicates: 3, seed: 5, pace: 60 };
    const { result } = run(options);
    const settings = result!.runs.map(r => `${r.block} ${r.pressure_kPa} ${r.dwell_s}`);
    expect(settings).toHaveLength(2 * 3 * 3 * 3);
    const counts = new Map<string, number>();
    for (const s of settings) counts.set(s, (counts.get(s) ?? 0) + 1);
    expect([...counts.values()]).toEqual(Array.from({ length: 18 }, () => 3));
    expect(run(options).result!.runs).toEqual(result!.runs);
    expect(run({ ...options, seed: 6 }).result!.runs).not.toEqual(result!.runs);
  });

  test('ages are blocks, and each run is a pace older than the one before', () => {
    const { runs } = run({ ages: [3000, 900], replicates: 1, pace: 90 }).result!;
    expect(runs.map(r => r.block)).toEqual([...Array(9).fill(1), ...Array(9).fill(2)]);
    expect(runs.slice(0, 3).map(r => r.age_min)).toEqual([15, 16.5, 18]);
    expect(runs[9]!.age_min).toBe(50);
  });

  test('every first place of a block is equally likely to be any setting', () => {
    // 3 settings, 300 seeds: 100 each expected; χ² with 2 degrees of freedom stays below 13.8 in 999 of 1000 (table).
    const firsts = new Map<string, number>();
    for (let seed = 1; seed <= 300; seed++) {
      const { pressure_kPa, dwell_s } = run({ replicates: 1, seed, pressures: 1 }).result!.runs[0]!;
      firsts.set(`${pressure_kPa} ${dwell_s}`, (firsts.get(`${pressure_kPa} ${dwell_s}`) ?? 0) + 1);
    }
    const chi = [...firsts.values()].reduce((sum, n) => sum + (n - 100) ** 2 / 100, 0);
    expect(firsts.size).toBe(3);
    expect(chi).toBeLessThan(13.8);
  });

  test('levels are equal ratios about the working setting, on the steps and inside the limits', () => {
    const { result } = run();
    const { pressure, dwell } = recipe.settings!;
    const [p, d] = [pressure!.value / 1e3, dwell!.value];
    expect(result!.pressures_kPa).toEqual([p / 2, p, 2 * p].map(v => Math.round(v)));
    for (const [i, v] of [d / 2, d, 2 * d].entries())
      expect(Math.abs(result!.dwells_s[i]! - v)).toBeLessThanOrEqual(0.0051);
    const low = exampleRecipe({ 'station.rating': 250e3, 'needle.bore': 0.41e-3 });
    expect(Math.max(...run({}, low).result!.pressures_kPa)).toBe(250);
  });

  test('named levels are taken as they are, or refused with the limit', () => {
    expect(run({ pressures: [300e3, 150e3] }).result!.pressures_kPa).toEqual([150, 300]);
    const { result, findings } = run({ pressures: [900e3, 150.5e3] });
    expect(result).toBeNull();
    expect(findings.map(f => [f.code, f.path])).toEqual([
      ['trials-levels', 'station.pressure'],
      ['trials-levels', 'station.pressure.step'],
    ]);
    const narrow = exampleRecipe({ 'needle.bore': 0.41e-3, 'station.dwell.step': 1, 'station.dwell.min': 1 });
    expect(codes(run({ dwells: 3 }, narrow).findings)).toContain('trials-levels');
  });

  test('what is weighed is what the recipe delivers', () => {
    const { runs } = run({ replicates: 1, shots: 4 }).result!;
    for (const r of runs) expect(r.expected_mg).toBeCloseTo(4 * r.expected_uL * 1.15, 9); // 1.15 mg/µL
    const at = (p: number, d: number) => runs.find(r => r.pressure_kPa === p && r.dwell_s === d)!.expected_uL;
    const [p1, , p3] = [...new Set(runs.map(r => r.pressure_kPa))].sort((a, b) => a - b);
    const d = runs[0]!.dwell_s;
    expect(at(p3!, d) / at(p1!, d)).toBeCloseTo((p3! - 3) / (p1! - 3), 9); // Hagen–Poiseuille less friction
  });
});

describe('what a trial will know', () => {
  const delivery = prepareDelivery(recipe).result!;
  const point = delivery.at({ age: 0 }).result!;
  const cell = (pressure: number, dwell: number): TrialCell => ({ pressure, dwell, point, scatter: 0.02 });

  test('the factor alone: scatter over the root of the weighings', () => {
    const design = designInformation([cell(2e5, 0.5)]);
    expect(design.free).toEqual([true, false, false]);
    expect(design.standardErrors[0]).toBeCloseTo(0.02, 9);
    // Four weighings, three degrees of freedom: t(0.975, 3) = 3.182446.
    expect(halfWidths(design, 4)[0]).toBeCloseTo((3.182446 * 0.02) / 2, 7);
  });

  test('two pressures, by hand: a straight line in 1/(P − friction)', () => {
    // Rows (−1, −x) with x = 1/(P − f): var(offset) = σ²/Σ(x − x̄)², var(factor) = σ²·Σx²/(n·Σ(x − x̄)²).
    const [a, b] = [1e5, 4e5].map(p => 1 / (p - friction)) as [number, number];
    const design = designInformation([cell(1e5, 0.5), cell(4e5, 0.5)]);
    const spread = (a - b) ** 2 / 2;
    expect(design.standardErrors[1]! * 1e3).toBeCloseTo(0.02 / Math.sqrt(spread), 1); // Pa, of some thousands
    expect(design.standardErrors[0]).toBeCloseTo(0.02 * Math.sqrt((a * a + b * b) / (2 * spread)), 7);
    const r = -(a + b) / Math.sqrt(2 * (a * a + b * b));
    expect(design.correlation[0]![1]).toBeCloseTo(r, 7);
    expect(design.free[2]).toBe(false);
  });

  test('as many cells as parameters tell them, fewer do not', () => {
    expect(designInformation([cell(1e5, 0.5), cell(4e5, 1)]).full).toBe(false);
    expect(designInformation([cell(1e5, 0.5), cell(4e5, 0.5), cell(1e5, 1)]).full).toBe(true);
  });

  test('fits of simulated trials scatter as foretold', () => {
    const shots = 5;
    const repeatability = 0.03;
    const plan = run({ repeatability, shots, replicates: 2, pressures: 3, dwells: 3 }).result!;
    const source = randomSource(3);
    const estimates = Array.from({ length: 60 }, () => {
      const rows = plan.runs.map(
        (r, i): FitRow => ({
          pressure: r.pressure_kPa * 1e3,
          dwell: r.dwell_s,
          age: r.age_min * 60,
          temperature: null,
          shots,
          mass: r.expected_mg * 1e-6 * Math.exp((repeatability / Math.sqrt(shots)) * source.normal()),
          diameter: null,
          line: i + 2,
        }),
      );
      return fitTrials(recipe, rows).result!.parameters.map(p => p.estimate);
    });
    for (const [k, { standard_error }] of plan.precision.entries()) {
      const values = estimates.map(e => e[k]!);
      const mean = values.reduce((a, b) => a + b, 0) / values.length;
      const sd = Math.sqrt(values.reduce((s, v) => s + (v - mean) ** 2, 0) / (values.length - 1));
      // 60 fits: the standard deviation is known to 1/√120 = 9 %; four times that.
      expect(Math.abs(sd / standard_error! - 1)).toBeLessThan(0.36);
    }
  });

  test('replicates are the fewest that reach what is wanted', () => {
    const wanted = { repeatability: 0.1, confidence: 0.05, offsetConfidence: 8e3, shots: 1 };
    const { result } = run(wanted);
    const n = result!.replicates;
    expect(n).toBeGreaterThan(2);
    expect(result!.precision.map(p => p.reached)).toEqual([true, true, null]);
    expect(run({ ...wanted, replicates: n - 1 }).result!.precision.some(p => p.reached === false)).toBe(true);
  });

  test('what cannot be reached or told apart is said', () => {
    const hopeless = run({ repeatability: 0.5, shots: 1, confidence: 0.01 });
    expect(hopeless.result!.replicates).toBe(20);
    expect(codes(hopeless.findings)).toContain('trials-precision');
    const one = run({ pressures: 1 });
    expect(codes(one.findings)).toContain('trials-confounded');
    expect(one.result!.precision.map(p => p.half_width === null)).toEqual([false, true, false]);
    expect(one.result!.cannot_tell[0]).toMatch(/pressure offset from viscosity/);
    expect(run({ dwells: 1 }).findings.find(f => f.code === 'trials-confounded')!.message).toMatch(/dead time/);
  });

  test('the scatter comes from the station, else is assumed and said to be', () => {
    expect(run().result!.repeatability_from).toBe('recipe');
    const bare = exampleRecipe({
      'needle.bore': 0.41e-3,
      'station.pressure.accuracy': null,
      'station.dwell.jitter': null,
    });
    const { result } = run({}, bare);
    expect(result).toMatchObject({ repeatability_from: 'assumed', repeatability_rel: 0.02 });
    expect(result!.defaults.join()).toContain('assumed');
  });

  test('a coarse balance widens the interval of small masses', () => {
    const fine = run({ repeatability: 0.01, replicates: 2 }).result!;
    const coarse = run({ repeatability: 0.01, replicates: 2, readability: 1e-6 }).result!;
    expect(coarse.precision[0]!.half_width!).toBeGreaterThan(fine.precision[0]!.half_width!);
  });
});

describe('the clock and the syringe', () => {
  test('blocks that run into each other, and a syringe that does not last, are warned of', () => {
    expect(codes(run({ ages: [900, 1200], replicates: 2 }).findings)).toContain('trials-ages');
    expect(codes(run({ ages: [900, 3000], replicates: 2 }).findings)).not.toContain('trials-ages');
    const { result, findings } = run({ shots: 200, replicates: 4 });
    expect(result!.syringes).toBeGreaterThan(1);
    expect(codes(findings)).toContain('trials-resin');
  });

  test('a trial beyond the gel point is an error, a missing density too', () => {
    const gelling = exampleRecipe({
      'needle.bore': 0.41e-3,
      'resin.cure': {
        model: 'castro-macosko',
        A1: 2.5e5,
        E1: 62e3,
        A2: 0,
        E2: 62e3,
        m: 1,
        n: 2,
        gel_conversion: 0.55,
        c1: 2,
        c2: 0,
      },
    });
    const late = run({ ages: [600, 400 * 3600] }, gelling);
    expect(late.result).toBeNull();
    expect(late.findings.some(f => f.severity === 'error')).toBe(true);
    expect(run({}, exampleRecipe({ 'resin.density': null })).findings.map(f => f.path)).toContain('resin.density');
  });
});

describe('by dots', () => {
  test('a dot is known as well as its shots scatter and it can be read', () => {
    // One setting, known repeatability r: standard error of the factor √(r²/shots + (3e/d/√3)²) for a cap, whose volume goes with d³;
    // e = 1 µm keeps the third power a straight line.
    const light = exampleRecipe({
      'needle.bore': 0.41e-3,
      'resin.cure': { model: 'none' },
      'resin.surface_tension': 4200,
    });
    const one = { by: 'diameter', pressures: 1, dwells: 1, replicates: 1, shots: 4 } as const;
    const misread = run({ ...one, repeatability: 1e-6, readingError: 1e-6 }, light).result!;
    const [first] = misread.runs;
    const expected = 3e-3 / first!.expected_mm! / Math.sqrt(3);
    expect(misread.precision[0]!.standard_error! / expected).toBeCloseTo(1, 2); // what gravity is left
    const both = run({ ...one, repeatability: 0.02, readingError: 1e-4 }, light).result!;
    const wide = ((first!.expected_mm! + 0.1) / first!.expected_mm!) ** 3 - 1;
    expect(both.precision[0]!.standard_error! / Math.hypot(0.01, wide / Math.sqrt(3))).toBeCloseTo(1, 2);
  });

  test('the dot is that of all its shots, and a recipe without an angle says so', () => {
    const { runs } = run({ by: 'diameter', replicates: 1, shots: 3 }).result!;
    const t = Math.tan((16 * Math.PI) / 180); // the cap of 32°, within what gravity does to it
    const cap = (r: (typeof runs)[number]) => Math.cbrt((48 * 3 * r.expected_uL) / (Math.PI * t * (3 + t * t)));
    for (const r of runs) expect(Math.abs(r.expected_mm! / cap(r) - 1)).toBeLessThan(0.12);
    expect(run({ by: 'diameter' }).result!.cannot_tell.join()).toContain('contact angle');
    expect(run({ replicates: 1 }).result!.cannot_tell.join()).not.toContain('contact angle');
    expect(run({ replicates: 1 }).result!.runs[0]!.expected_mm).toBeNull();
    const bare = exampleRecipe({ 'needle.bore': 0.41e-3, 'resin.dot': null });
    expect(run({ by: 'diameter' }, bare).findings.map(f => f.path)).toContain('resin.dot.contact_angle');
  });
});
