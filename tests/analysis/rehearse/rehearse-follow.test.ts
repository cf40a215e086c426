import { describe, expect, it } from 'vitest';
import { planRehearsal, rehearsal, type SharedParts } from '../../../src/analysis/rehearse/rehearsal.ts';
import { type RehearseOptions, rehearse } from '../../../src/analysis/rehearse/rehearse.ts';
import { releaseSpread } from '../../../src/analysis/release/release-spread.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const fixed = (part: string, diameter: number | number[], length: number) => ({ part, diameter, length });
/**
 * Connectors are alike, nothing thickens, and five shots empty a syringe. Steps of dwell are so fine, and the tolerance so narrow, that
 * every syringe is trimmed to what is believed of it; only shots scatter.
 */
const plain = {
  'connector.cavity': [
    fixed('bore', 126e-6, 5.5e-3),
    fixed('lead-in', [126e-6, 0.9e-3], 0.6e-3),
    fixed('tube', 1.1e-3, 7e-3),
  ],
  'connector.cable': [fixed('fibre', 125e-6, 6.6e-3), fixed('coating', 245e-6, 1e-3), fixed('buffer', 0.9e-3, 20e-3)],
  ...{ 'needle.bore': 0.41e-3, 'needle.outside': 0.72e-3 },
  ...{ 'resin.rheology.viscosity': 2.4, 'resin.cure': { model: 'none' }, 'process.temperature': 298.15 },
  ...{ 'station.pressure.accuracy': null, 'station.dwell.jitter': 0.02, 'station.dwell.step': 1e-4 },
  ...{ 'process.stop_at': { age: 900 }, 'settings.ramp': null, 'process.drift': 0, 'process.tolerance': 1.5e-3 },
};
/** The same with a dwell that delivers the aim. */
function onAim(overrides: Record<string, unknown>): Recipe {
  const all = { ...plain, ...overrides };
  const { model, ahead, target } = planRehearsal(exampleRecipe(all), { method: WEIGHED }).result!;
  const dwell = model.dwellFor(1, ahead.shots[0]!, { pressure: 210e3, volume: target.aim })!;
  return exampleRecipe({ ...all, 'settings.dwell': Math.round(dwell * 1e4) / 1e4 });
}
const WEIGHED = { kind: 'masses', readings: 1, shots: 1, readability: 1e-12 } as const;

/** What believing the checks leaves of ln(thickness): its variance over the syringes. */
function left(recipe: Recipe, p: { shared: SharedParts; syringes: number; drift?: number }) {
  const plan = planRehearsal(recipe, { method: WEIGHED }).result!;
  const truth = p.drift === undefined ? plan : { ...plan, drift: p.drift };
  const { tally, lots } = rehearsal(truth, { method: WEIGHED, syringes: p.syringes, seed: 1, shared: p.shared })!;
  expect(lots.reduce((sum, { rejected }) => sum + rejected, 0)).toBeLessThan(0.02 * p.syringes);
  const of = tally.shares().find(({ cause }) => cause === 'reading of the check')!;
  return of.share * (tally.moments().sd / plan.target.aim) ** 2;
}

/** Variance of the reading of a check [-]: one shot, which scatters by the jitter alone. */
function noiseOf(recipe: Recipe): number {
  const { pressure, dwell } = recipe.settings!;
  return releaseSpread(recipe, { pressure: pressure!.value, dwell: dwell!.value }).shot! ** 2;
}

/** The weight of the EWMA to which the gain tends: λ²/(1 − λ) = q/r. */
function weightOf(q: number, r: number): number {
  const ratio = q / r;
  return (-ratio + Math.sqrt(ratio * ratio + 4 * ratio)) / 2;
}

const line = (follow: boolean, perLot: number, perNeedle = 1): SharedParts => ({ perLot, perNeedle, follow });

describe('checks that are followed in a rehearsal', () => {
  const drifting = onAim({ 'process.drift': 0.03 });
  const r = noiseOf(drifting);
  const { period } = planRehearsal(drifting, { method: WEIGHED }).result!;
  const weight = weightOf((0.03 ** 2 * period) / 3600, r);

  it('leave of a drift λ times the noise of a check, where each check for itself leaves all of it', () => {
    // IMA(1,1): a Kalman filter of gain λ leaves λ·r (NIST/SEMATECH e-Handbook 6.6; Box & Jenkins).
    expect(weight).toBeGreaterThan(0.2);
    expect(weight).toBeLessThan(0.5);
    const alone = left(drifting, { shared: line(false, 100), syringes: 2400 });
    const followed = left(drifting, { shared: line(true, 100), syringes: 2400 });
    expect(Math.abs(alone / r - 1)).toBeLessThan(4 * Math.sqrt(2 / 2400));
    // The first checks of a lot have no past: Σ over 100 of a gain that falls from 1 to λ.
    let [gain, sum] = [1, 0];
    const ratio = weight ** 2 / (1 - weight);
    for (let i = 0; i < 100; i++) {
      sum += gain;
      gain = (gain + ratio) / (gain + ratio + 1);
    }
    // Errors in a row are correlated by 1 − λ: (2 − λ)/λ times fewer independent ones.
    const error = Math.sqrt((2 * (2 - weight)) / weight / 2400);
    expect(Math.abs(followed / r / (sum / 100) - 1)).toBeLessThan(4 * error);
    expect(followed).toBeLessThan(0.6 * alone);
  });

  it('average the noise to λ/(2 − λ) where nothing drifts though a drift is believed', () => {
    // Variance of an EWMA of white noise: NIST/SEMATECH e-Handbook 6.3.2.4.
    const followed = left(drifting, { shared: line(true, 200), syringes: 2400, drift: 0 });
    const error = Math.sqrt((2 * (2 - weight)) / weight / 2400);
    // From a gain of 1 at the start of a lot: some 2 % more over 200 checks.
    expect(Math.abs(followed / r / (weight / (2 - weight)) - 1.02)).toBeLessThan(4 * error);
  });

  it('leave of a lot that k checks have seen s²·r/(r + k·s²), where each check for itself leaves r', () => {
    // Bayes' rule for a normal mean; moments are enough, since the filter is linear.
    const viscosity = { value: 2.4, halfWidth: 0.36, distribution: 'uniform', per: 'lot' };
    const coarse = { 'station.dwell.jitter': 0.04, 'resin.rheology.viscosity': viscosity };
    const recipe = onAim({ ...coarse, 'process.drift': 1e-9 });
    const [s2, noise] = [0.15 ** 2 / 3, noiseOf(recipe)];
    // The first check of a lot has none before it, and is taken as it is.
    const due = Array.from({ length: 10 }, (_, k) => (k === 0 ? noise : (s2 * noise) / (noise + (k + 1) * s2)));
    const mean = due.reduce((a, b) => a + b, 0) / due.length;
    const alone = left(recipe, { shared: line(false, 10), syringes: 5000 });
    const followed = left(recipe, { shared: line(true, 10), syringes: 5000 });
    expect(Math.abs(followed / alone / (mean / noise) - 1)).toBeLessThan(0.15);
  });

  it('do no harm where lot and needle are believed to differ and do not: only syringes do', () => {
    const of = (halfWidth: number, per: string) => ({ value: 2.4, halfWidth, distribution: 'normal', per });
    const recipe = onAim({
      'resin.rheology.viscosity': of(0.36, 'lot'),
      'process.temperature': { value: 298.15, halfWidth: 2, distribution: 'normal', per: 'syringe' },
    });
    const plan = planRehearsal(recipe, { method: WEIGHED, scale: ({ per }) => (per === 'lot' ? 0 : 1) }).result!;
    const sd = (follow: boolean) =>
      rehearsal(plan, { method: WEIGHED, syringes: 2000, seed: 3, shared: line(follow, 20) })!.tally.moments().sd;
    expect(sd(true) / sd(false)).toBeLessThan(1.02);
  });
});

describe('a rehearsal of syringes that share a lot', () => {
  const run = (options: RehearseOptions) => rehearse(exampleRecipe(), { samples: 120, ...options }).result!;

  it('gives the same for the same seed, and decides as without where nothing is shared', () => {
    expect(run({ follow: true })).toEqual(run({ follow: true }));
    expect(run({ follow: true }).syringes_per_lot).toBe(10);
    expect({ ...run({ follow: true, perLot: 1 }), follow: false }).toEqual(run({}));
    expect(run({ perNeedle: 4 })).toMatchObject({ syringes_per_lot: 4, syringes_per_needle: 4, follow: false });
  });

  it('draws a lot once for all of its syringes', () => {
    const viscosity = { value: 2.4, halfWidth: 0.48, distribution: 'uniform', per: 'lot' };
    const recipe = onAim({ 'station.dwell.jitter': null, 'resin.rheology.viscosity': viscosity });
    const wide = {
      ...recipe,
      process: { ...recipe.process!, tolerance: { ...recipe.process!.tolerance!, value: 0.1 } },
    };
    const method = { kind: 'masses', readings: 3, shots: 5, readability: 1e-12 } as const;
    const plan = planRehearsal(wide, { method }).result!;
    const { lots } = rehearsal(plan, { method, syringes: 100, seed: 1, shared: line(false, 5) })!;
    expect(lots).toHaveLength(20);
    const trimmed = lots.map(lot => lot.trimmed);
    expect(new Set(trimmed)).toEqual(new Set([0, 5]));
  });

  it('counts lots as clusters: rates of so many syringes are less sure', () => {
    const [own, shared] = [run({ samples: 400 }), run({ samples: 400, perLot: 20 })].map(({ intervals_pct }) => {
      const [low, high] = intervals_pct.trimmed;
      return high - low;
    });
    expect(shared!).toBeGreaterThan(own!);
  });
});
