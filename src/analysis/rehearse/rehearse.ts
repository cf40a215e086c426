import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { designEffect, noneSeen, proportionInterval } from '../../stats/proportion.ts';
import type { ReasonCode } from '../release/release-decision.ts';
import { planRehearsal, type Rehearsal, type RehearsalPlan, rehearsal } from './rehearsal.ts';
import type { Cause } from './run-tally.ts';
import type { CheckMethod } from './syringe-reading.ts';

export interface RehearseOptions {
  /** So many dots on each fresh syringe; default 3, where no weighings are asked for. */ readonly dots?: number;
  /** So many weighings. */ readonly masses?: number;
  /** Shots on one dot or in one weighing; default: as the gauge for dots, 1 for weighings. */
  readonly shots?: number;
  /** Step of the balance [kg]. */ readonly readability?: number;
  /** Half-width of a misread dot [m]. */ readonly readingError?: number;
  /** Syringes; default: see `REHEARSE_DEFAULTS`. */ readonly samples?: number;
  readonly seed?: number;
  /** Told the share done from time to time. */ readonly progress?: (share: number) => void;
}

/** Syringes by how costly one is, so that a rehearsal takes some seconds: a Newtonian resin with ideal air; one of the two; neither. */
export const REHEARSE_DEFAULTS = {
  readings: 3,
  samples: { product: 5000, general: 300, slow: 50 },
  seed: 1,
  fewest: 10,
} as const;

export interface RehearseResult {
  readonly check: { readonly kind: 'dots' | 'masses'; readonly readings: number; readonly shots_per_reading: number };
  readonly syringes: number;
  /** Of the syringes that were released. */
  readonly connectors: number;
  /** Of a syringe that is not trimmed. */
  readonly connectors_per_syringe: number;
  readonly aim_uL: number;
  readonly window_uL: readonly [number, number];
  /** Connectors whose reach is outside its window; null where no syringe was released. */
  readonly outside_pct: number | null;
  /** 95 %; where none was outside, from zero to the one-sided bound. */
  readonly outside_interval_pct: readonly [number, number] | null;
  readonly too_little_pct: number | null;
  readonly too_much_pct: number | null;
  /** Variance of `outside_pct` over that of as many connectors of syringes of their own. */
  readonly design_effect: number | null;
  /** Shot less the aim of its own connector. */
  readonly margin: { readonly mean_uL: number; readonly standard_deviation_uL: number } | null;
  readonly cp: number | null;
  readonly cpk: number | null;
  /** The next four, and their 95 % intervals, of all syringes. */
  readonly rejected_pct: number;
  readonly trimmed_pct: number;
  /** Rejected though the program trimmed at its true thickness keeps every connector inside. */
  readonly false_reject_pct: number;
  /** Released with any connector outside. */
  readonly missed_pct: number;
  readonly intervals_pct: {
    readonly rejected: readonly [number, number];
    readonly trimmed: readonly [number, number];
    readonly false_reject: readonly [number, number];
    readonly missed: readonly [number, number];
  };
  /** Why syringes were rejected, of all syringes; one may have several reasons. */
  readonly reasons: readonly { readonly code: ReasonCode; readonly syringes_pct: number }[];
  /** Covariance of each part with the margin over the variance of the margin; they add up to 100. */
  readonly by_cause: readonly { readonly cause: Cause; readonly variance_pct: number }[];
  readonly seed: number;
  /** Draws taken again because a value could not be. */
  readonly redrawn: number;
  /** Connectors drawn again because the needle found no seat. */
  readonly no_seat: number;
  /** How shots are predicted: along curves, or by the models one by one. */
  readonly way: Rehearsal['way'];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * The whole line simulated: true lots, syringes, needles, connectors, temperatures and jitter drawn from the recipe's tolerances, every
 * syringe checked with readings as they come about, released or not as `release` decides, and run by its program to its end.
 */
export function rehearse(recipe: Recipe, options: RehearseOptions = {}): Outcome<RehearseResult> {
  const method = methodOf(options);
  const plan = planRehearsal(recipe, { method });
  if (plan.result === null) return { result: null, findings: distinct(plan.findings) };
  const syringes = options.samples ?? usualSyringes(recipe, plan.result);
  const seed = options.seed ?? REHEARSE_DEFAULTS.seed;
  const made = rehearsal(plan.result, { method, syringes, seed, progress: options.progress });
  if (made === null) {
    const message = 'hardly a draw of the tolerances is possible';
    const findings = [...plan.findings, spreadFinding('spread-sample-impossible', null, message)];
    return { result: null, findings: distinct(findings) };
  }
  return {
    result: rehearseKeys(made, { method, seed, apart: plan.result.ahead.apart }),
    findings: distinct(plan.findings),
  };
}

export function methodOf({ dots, masses, shots, readability, readingError }: RehearseOptions): CheckMethod {
  const how = { shots, readability, readingError };
  if (masses !== undefined && dots === undefined) return { kind: 'masses', readings: masses, ...how };
  return { kind: 'dots', readings: dots ?? REHEARSE_DEFAULTS.readings, ...how };
}

/** Syringes of a rehearsal that takes some seconds. */
function usualSyringes({ resin, station }: Recipe, { way }: RehearsalPlan): number {
  const { samples } = REHEARSE_DEFAULTS;
  const newtonian = resin?.rheology?.model === 'newtonian';
  const ideal = station === undefined || station.air.model === 'ideal';
  if (way === 'exact' || !(newtonian || ideal)) return samples.slow;
  return newtonian && ideal ? samples.product : samples.general;
}

/** A rehearsal as keys with units. */
export function rehearseKeys(
  made: Rehearsal,
  { method, seed, apart }: { method: CheckMethod; seed: number; apart: number },
): RehearseResult {
  const { tally, target, syringes } = made;
  const { connectors } = tally;
  const moments = connectors > 1 ? tally.moments() : null;
  const span = target.window.max - target.window.min;
  const share = (count: number) => (connectors === 0 ? null : (100 * count) / connectors);
  const ofSyringes = (count: number) => (100 * count) / syringes;
  const about = (count: number) => interval({ count, of: syringes });
  const outside = outsideInterval(made);
  const sd = moments === null || !(moments.sd > 0) ? null : moments.sd;
  return {
    check: { kind: method.kind, readings: method.readings, shots_per_reading: made.shotsPerReading },
    ...{ syringes, connectors, connectors_per_syringe: made.shotsPlanned },
    aim_uL: target.aim * 1e9,
    window_uL: [target.window.min * 1e9, target.window.max * 1e9],
    outside_pct: share(tally.outside),
    outside_interval_pct: outside?.interval ?? null,
    ...{ too_little_pct: share(tally.tooLittle), too_much_pct: share(tally.tooMuch) },
    design_effect: outside?.effect ?? null,
    margin: moments === null ? null : { mean_uL: moments.margin * 1e9, standard_deviation_uL: moments.sd * 1e9 },
    cp: sd === null ? null : span / (6 * sd),
    cpk: sd === null ? null : Math.min(moments!.low, moments!.high) / (3 * sd),
    rejected_pct: ofSyringes(made.rejected),
    trimmed_pct: ofSyringes(made.trimmed),
    false_reject_pct: ofSyringes(made.falseRejects),
    missed_pct: ofSyringes(made.missed),
    intervals_pct: {
      ...{ rejected: about(made.rejected), trimmed: about(made.trimmed) },
      ...{ false_reject: about(made.falseRejects), missed: about(made.missed) },
    },
    reasons: [...made.reasons].map(([code, count]) => ({ code, syringes_pct: ofSyringes(count) })),
    by_cause: connectors < 2 ? [] : tally.shares().map(({ cause, share }) => ({ cause, variance_pct: share * 100 })),
    ...{ seed, redrawn: made.redrawn, no_seat: made.noSeat, way: made.way, models: made.models },
    defaults: [...made.defaults, ...notesOf(made, apart)],
  };
}

/**
 * Clopper–Pearson on the connectors over the design effect of their syringes; with none outside the effect cannot be seen, and is
 * taken as one: the syringes with any outside (`missed`) are then the more careful bound.
 */
function outsideInterval({ tally, outside, sizes }: Rehearsal) {
  const { connectors } = tally;
  if (connectors === 0) return null;
  if (tally.outside === 0) return { effect: 1, interval: [0, 100 * noneSeen(connectors)] as const };
  const effect = designEffect(outside, sizes);
  const of = connectors / effect;
  return { effect, interval: interval({ count: Math.min(of, tally.outside / effect), of }) };
}

function interval(seen: { count: number; of: number }): readonly [number, number] {
  const { low, high } = proportionInterval(seen);
  return [100 * low, 100 * high];
}

function notesOf({ way }: Rehearsal, apart: number): string[] {
  return [
    'a lot and a needle of its own for every syringe',
    'temperature: not measured at the check, so that of the recipe is taken',
    `trimmed programs: made for thicknesses ${Number((apart * 100).toPrecision(2))} % apart`,
    ...(way === 'quick' ? [] : ['shots predicted by the models one by one: no curve follows them']),
  ];
}
