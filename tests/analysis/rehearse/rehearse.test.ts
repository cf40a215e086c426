import { describe, expect, it } from 'vitest';
import { planRehearsal, rehearsal } from '../../../src/analysis/rehearse/rehearsal.ts';
import { type RehearseOptions, rehearse } from '../../../src/analysis/rehearse/rehearse.ts';
import { judgeCheck } from '../../../src/analysis/release/judge-syringe.ts';
import { release } from '../../../src/analysis/release/release.ts';
import { readVolumes } from '../../../src/analysis/release/release-readings.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { afterTrimOf } from './after-trim-of.ts';
import { demoRecipe } from './demo-recipes.ts';

function resultOf(recipe: Recipe, options: RehearseOptions = {}) {
  const { result, findings } = rehearse(recipe, options);
  if (result === null) throw new Error(JSON.stringify(findings));
  return result;
}

const fixed = (part: string, diameter: number | number[], length: number) => ({ part, diameter, length });
/** Nothing deviates, nothing thickens, and the dwell alone says what comes out. */
const exact = {
  'connector.cavity': [
    fixed('bore', 126e-6, 5.5e-3),
    fixed('lead-in', [126e-6, 0.9e-3], 0.6e-3),
    fixed('tube', 1.1e-3, 7e-3),
  ],
  'connector.cable': [fixed('fibre', 125e-6, 6.6e-3), fixed('coating', 245e-6, 1e-3), fixed('buffer', 0.9e-3, 20e-3)],
  ...{ 'needle.bore': 0.41e-3, 'needle.outside': 0.72e-3 },
  ...{ 'resin.rheology.viscosity': 2.4, 'resin.cure': { model: 'none' }, 'process.temperature': 298.15 },
  ...{ 'station.pressure.accuracy': null, 'station.dwell.jitter': null, 'station.syringe.fill': 0.5e-6 },
  ...{ 'process.stop_at': { age: 1500 }, 'settings.ramp': null, 'process.drift': 0 },
};
/** The same about a dwell that delivers the aim, on a step. */
function exactRecipe(overrides: Record<string, unknown> = {}): Recipe {
  const method = { kind: 'masses', readings: 1 } as const;
  const { model, ahead, target } = planRehearsal(exampleRecipe(exact), { method }).result!;
  const dwell = model.dwellFor(1, ahead.shots[0]!, { pressure: 210e3, volume: target.aim })!;
  return exampleRecipe({ ...exact, 'settings.dwell': Math.round(dwell * 100) / 100, ...overrides });
}
/** Read with next to no error. */
const sharp = { masses: 3, shots: 5, readability: 1e-12 } as const;

describe('a rehearsal', () => {
  it('of a line without tolerances has nothing rejected, trimmed, missed or outside, and the program alone as cause', () => {
    const result = resultOf(exactRecipe(), { ...sharp, samples: 20 });
    expect(result).toMatchObject({
      rejected_pct: 0,
      trimmed_pct: 0,
      missed_pct: 0,
      false_reject_pct: 0,
      outside_pct: 0,
    });
    expect(result.margin!.standard_deviation_uL).toBeLessThan(1e-9);
    expect(result.connectors).toBe(20 * result.connectors_per_syringe);
    // Rule of three: 1 − 0.05^(1/n).
    expect(result.outside_interval_pct![1]).toBeCloseTo(100 * (1 - 0.05 ** (1 / result.connectors)), 9);
    expect(result.intervals_pct.missed[1]).toBeCloseTo(100 * (1 - 0.05 ** (1 / 20)), 9);
  });

  it('trims the share of syringes that a flat viscosity puts outside the tolerance, by hand', () => {
    // V = V₀·η₀/η, η flat within ±20 %: used while |V/aim − 1| ≤ 10 %. Read without error, so nothing is rejected.
    const viscosity = { value: 2.4, halfWidth: 0.48, distribution: 'uniform', per: 'lot' };
    const recipe = exactRecipe({ 'resin.rheology.viscosity': viscosity });
    const { result: plan } = planRehearsal(recipe, {
      method: { kind: 'masses', readings: 3, shots: 5, readability: 1e-12 },
    });
    const first = plan!.ahead.shots[0]!;
    const dwell = recipe.settings!.dwell!.value;
    const ratio = plan!.model.deliver(1, first, { pressure: 210e3, dwell }) / plan!.target.aim;
    const used = (Math.min(1.2, ratio / 0.9) - Math.max(0.8, ratio / 1.1)) / 0.4;
    const n = 3000;
    const result = resultOf(recipe, { ...sharp, samples: n });
    expect(Math.abs(result.trimmed_pct / 100 - (1 - used))).toBeLessThan(4 * Math.sqrt((used * (1 - used)) / n));
    expect(result.rejected_pct).toBe(0);
    // Those used: V/aim = ratio/x with x flat between a and b; those trimmed: within half a dwell step.
    const [a, b] = [Math.max(0.8, ratio / 1.1), Math.min(1.2, ratio / 0.9)];
    const mean = (ratio * Math.log(b / a)) / (b - a) - 1;
    const square = ratio ** 2 / (a * b) - (2 * ratio * Math.log(b / a)) / (b - a) + 1; // E[(V/aim − 1)²]
    const step = 0.01 / dwell / Math.sqrt(12);
    const variance = used * square + (1 - used) * step ** 2 - (used * mean) ** 2;
    const sd = result.margin!.standard_deviation_uL / result.aim_uL;
    expect(Math.abs(sd / Math.sqrt(variance) - 1)).toBeLessThan(0.04); // 3000 syringes: 1.3 %; the step is not quite flat
    const parts = Object.fromEntries(result.by_cause.map(({ cause, variance_pct }) => [cause, variance_pct]));
    expect(parts['thickness left untrimmed']).toBeGreaterThan(95);
  });

  it('with the connector alone uncertain has its spread for the margin, and nothing else', () => {
    const allowance = { value: 0.03, halfWidth: 0.02, distribution: 'uniform', per: 'connector' };
    const recipe = exactRecipe({ 'connector.allowance': allowance });
    const result = resultOf(recipe, { ...sharp, samples: 300 });
    // aim = free volume·(1 + allowance): a straight line, so sd = aim/1.03·0.02/√3.
    const sd = ((result.aim_uL / 1.03) * 0.02) / Math.sqrt(3);
    expect(Math.abs(result.margin!.standard_deviation_uL / sd - 1)).toBeLessThan(5 / Math.sqrt(2 * result.connectors));
    expect(result.by_cause[0]).toMatchObject({ cause: 'connector and cable' });
    expect(result.by_cause[0]!.variance_pct).toBeCloseTo(100, 6);
  });

  it('finds what reading, dead band, program and drift leave of Cpk', () => {
    const recipe = exampleRecipe({
      'resin.cure': { model: 'pot-life', time: 3600, factor: 2, activation_energy: 60e3 },
      ...{ 'station.syringe.fill': 0.5e-6, 'settings.dwell': 0.52, 'process.drift': 0 },
      'settings.ramp': [{ from_shot: 1, add: 0.03, every: 7 }],
    });
    const cpk = (options: RehearseOptions) => resultOf(recipe, { ...options, samples: 700 }).cpk!;
    // 1.42 and 1.98 were found beforehand, with every simulated check put through the command `release` itself; within a tenth.
    expect(Math.abs(cpk({ dots: 3, shots: 1 }) / 1.42 - 1)).toBeLessThan(0.1);
    expect(Math.abs(cpk({ masses: 3, shots: 5, readability: 1e-8 }) / 1.98 - 1)).toBeLessThan(0.1);
  });

  it('gives the same for the same seed, another sample for another, and parts that add up to all', () => {
    const run = (seed: number) => resultOf(exampleRecipe(), { dots: 2, samples: 60, seed });
    expect(run(3)).toEqual(run(3));
    expect(run(4).margin!.mean_uL).not.toBe(run(3).margin!.mean_uL);
    expect(run(3).by_cause.reduce((sum, { variance_pct }) => sum + variance_pct, 0)).toBeCloseTo(100, 6);
    expect(run(3).check).toEqual({ kind: 'dots', readings: 2, shots_per_reading: 7 });
  });

  it('tells its progress, and counts clusters: many connectors of few bad syringes are no certainty', () => {
    const shares: number[] = [];
    const narrow = exampleRecipe({ 'connector.reach': { min: 9.95e-3, max: 11.55e-3 } });
    const result = resultOf(narrow, { dots: 3, shots: 4, samples: 300, progress: share => shares.push(share) });
    expect(shares.at(-1)).toBe(1);
    expect(result.outside_pct).toBeGreaterThan(0);
    expect(result.design_effect).toBeGreaterThan(1);
    const [low, high] = result.outside_interval_pct!;
    expect(low).toBeLessThan(result.outside_pct!);
    expect(high).toBeGreaterThan(result.outside_pct!);
  });

  it('asks for what it needs', () => {
    const lacking = (overrides: Record<string, unknown>) => rehearse(exampleRecipe(overrides), { samples: 10 });
    expect(lacking({ settings: null }).findings.map(({ path }) => path)).toContain('settings.pressure');
    expect(lacking({ 'process.takt': null }).findings.map(({ path }) => path)).toContain('process.takt');
    expect(lacking({ 'resin.dot': null }).findings.map(({ path }) => path)).toContain('resin.dot.contact_angle');
    expect(lacking({ 'resin.dot': null }).result).toBeNull();
    const { result } = rehearse(exampleRecipe({ 'resin.dot': null }), { masses: 2, samples: 10 });
    expect(result!.check.kind).toBe('masses');
  });
});

describe('the decision of a rehearsal', () => {
  it('is that of `release` for the same readings, with the same program but for the step of its thickness', () => {
    const recipe = exampleRecipe({ 'connector.reach': { min: 10e-3, max: 11.6e-3 } });
    const method = { kind: 'masses', readings: 3, shots: 5, readability: 1e-8 } as const;
    const { take, ahead, target } = planRehearsal(recipe, { method }).result!;
    const random = randomSource(11);
    const seen = new Set<string>();
    for (let i = 0; i < 40; i++) {
      const mean = target.aim * 1150 * 5 * (0.7 + 0.7 * random.uniform());
      const masses = [1, 2, 3].map(() => mean * (1 + 0.004 * random.normal()));
      const how = { masses, shots: 5, readability: 1e-8 };
      const { result } = release(recipe, { ...how, shot: 1 });
      const judged = judgeCheck(take(readVolumes(recipe, how).result!), ahead)!;
      seen.add(result!.decision);
      // Another program of a quarter of a step may just hold, or just not, where the exact one does not, or does.
      if (result!.decision !== judged.decision) continue;
      expect(judged.thickness!.estimate / result!.thickness!.estimate).toBeCloseTo(1, 6);
      if (judged.trim === null) continue;
      expect(judged.trim.factor / result!.trim!.factor).toBeCloseTo(1, 6);
      const [first] = judged.trim.program.stages;
      expect(Math.abs(first!.first - result!.trim!.program.stages[0]!.first_dwell_s)).toBeLessThan(0.0201);
    }
    expect([...seen].sort()).toEqual(['reject', 'use', 'use with trim']);
  });

  it('differs in hardly a syringe', () => {
    const recipe = exampleRecipe();
    const method = { kind: 'masses', readings: 3, shots: 5, readability: 1e-8 } as const;
    const { take, ahead, target } = planRehearsal(recipe, { method }).result!;
    const random = randomSource(12);
    let apart = 0;
    for (let i = 0; i < 40; i++) {
      const mean = target.aim * 1150 * 5 * (0.7 + 0.7 * random.uniform());
      const masses = [1, 2, 3].map(() => mean * (1 + 0.004 * random.normal()));
      const how = { masses, shots: 5, readability: 1e-8 };
      const decision = release(recipe, { ...how, shot: 1 }).result!.decision;
      if (judgeCheck(take(readVolumes(recipe, how).result!), ahead)!.decision !== decision) apart++;
    }
    expect(apart).toBeLessThanOrEqual(1);
  });
});

it('a rehearsal whose inputs are held has less spread, syringe by syringe with the same draws', () => {
  const method = { kind: 'dots', readings: 3 } as const;
  const sd = (held: RegExp | null) => {
    const scale =
      held === null ? undefined : ({ paths }: { paths: readonly string[] }) => (held.test(paths[0]!) ? 0 : 1);
    const plan = planRehearsal(exampleRecipe(), { method, scale }).result!;
    return rehearsal(plan, { method, syringes: 80, seed: 1 })!.tally.moments().sd;
  };
  expect(sd(/^connector/)).toBeLessThan(sd(null));
});

describe('what is counted after trim', () => {
  it.each([
    ['the demo recipe', 'tide-gauge-pigtail.yaml'],
    ['a calibrated one', 'tide-gauge-pigtail-calibrated.yaml'],
    ['a course of temperature', 'cold-store-pigtail.yaml'],
    ['a resin that does not set', 'practice-shots.yaml'],
    ['two presses a connector, and slow air', 'current-meter-pigtail.yaml'],
    ['a yield stress', 'wave-buoy-pigtail.yaml'],
  ])('agrees on Cpk with a rehearsal within a tenth: %s; all of them in after-trim.long.test.ts', async (_, name) => {
    const recipe = await demoRecipe(name);
    const { first_order, monte_carlo, rehearsal } = afterTrimOf(recipe, { syringes: 150, seed: 1 });
    const { cpk, outside_interval_pct } = resultOf(recipe, { samples: 200, seed: 2 });
    expect(Math.abs(first_order.cpk! / cpk! - 1)).toBeLessThan(0.1);
    expect(Math.abs(monte_carlo.cpk! / cpk! - 1)).toBeLessThan(0.1);
    // Two samples of the same line: their intervals have something in common.
    const [low, high] = outside_interval_pct!;
    const [least, most] = rehearsal!.outside_interval_pct!;
    expect(most).toBeGreaterThanOrEqual(low);
    expect(least).toBeLessThanOrEqual(high);
  });
});
