import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { designEffect, noneSeen, proportionInterval } from '../../stats/proportion.ts';
import type { ReasonCode } from '../release/release-decision.ts';
import {
  ALONE,
  blocksOf,
  type LotCount,
  planRehearsal,
  type Rehearsal,
  type RehearsalFacts,
  type RehearsalPart,
  type RehearsalPlan,
  rehearsalFacts,
  rehearsalPart,
  type SharedParts,
  wholeRehearsal,
} from './rehearsal.ts';
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
  /** Checks before of the same lot or needle count, as in `release --log`. */ readonly follow?: boolean;
  /** Syringes of one lot, one after the other; default: one, and with `follow` see `REHEARSE_DEFAULTS`. */
  readonly perLot?: number;
  /** Syringes through one needle; default: one. */ readonly perNeedle?: number;
  /** Told the share done from time to time. */ readonly progress?: (share: number) => void;
}

/** Syringes by how costly one is, so that a rehearsal takes some seconds: a Newtonian resin with ideal air; one of the two; neither. */
export const REHEARSE_DEFAULTS = {
  readings: 3,
  samples: { product: 5000, general: 300, slow: 150 },
  seed: 1,
  fewest: 10,
  /** Syringes of one lot where checks are followed; *our choice, no source*. */
  followed: 10,
} as const;

export interface RehearseResult {
  readonly check: { readonly kind: 'dots' | 'masses'; readonly readings: number; readonly shots_per_reading: number };
  /** Checks before of the same lot or needle counted. */
  readonly follow: boolean;
  readonly syringes: number;
  readonly syringes_per_lot: number;
  readonly syringes_per_needle: number;
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
  const { result: share, findings } = rehearseShare(recipe, options);
  if (share === null) return { result: null, findings };
  return {
    result: rehearsed(
      share.facts,
      share.parts.map(([, part]) => part),
    ),
    findings,
  };
}

/** What a rehearsal tells of itself; plain data. */
export interface RehearseFacts extends RehearsalFacts {
  readonly method: CheckMethod;
  readonly seed: number;
  readonly shared: SharedParts;
  readonly apart: number;
}

/** A share of a rehearsal: some of its blocks, by their number. */
export interface RehearseShare {
  readonly facts: RehearseFacts;
  readonly blocks: number;
  readonly parts: readonly (readonly [number, RehearsalPart])[];
}

/** The blocks of a rehearsal that are `own`ed here, of so many; default: all. */
export function rehearseShare(
  recipe: Recipe,
  options: RehearseOptions,
  own: (blocks: number) => readonly number[] = all,
): Outcome<RehearseShare> {
  const method = methodOf(options);
  const plan = planRehearsal(recipe, { method });
  if (plan.result === null) return { result: null, findings: distinct(plan.findings) };
  const syringes = options.samples ?? usualSyringes(recipe, plan.result);
  const seed = options.seed ?? REHEARSE_DEFAULTS.seed;
  const shared = sharedOf(options);
  const how = { method, syringes, seed, shared, progress: options.progress };
  const blocks = blocksOf(plan.result, how);
  const parts: [number, RehearsalPart][] = [];
  for (const block of own(blocks)) {
    const part = rehearsalPart(plan.result, how, block);
    if (part === null) {
      const message = 'hardly a draw of the tolerances is possible';
      const findings = [...plan.findings, spreadFinding('spread-sample-impossible', null, message)];
      return { result: null, findings: distinct(findings) };
    }
    parts.push([block, part]);
  }
  const facts = { ...rehearsalFacts(plan.result, how), method, seed, shared, apart: plan.result.ahead.apart };
  return { result: { facts, blocks, parts }, findings: distinct(plan.findings) };
}

function all(blocks: number): number[] {
  return Array.from({ length: blocks }, (_, i) => i);
}

/** The rehearsal of all blocks, in their order. */
export function rehearsed(facts: RehearseFacts, parts: readonly RehearsalPart[]): RehearseResult {
  return rehearseKeys(wholeRehearsal(facts, parts), facts);
}

export function methodOf({ dots, masses, shots, readability, readingError }: RehearseOptions): CheckMethod {
  const how = { shots, readability, readingError };
  if (masses !== undefined && dots === undefined) return { kind: 'masses', readings: masses, ...how };
  return { kind: 'dots', readings: dots ?? REHEARSE_DEFAULTS.readings, ...how };
}

/** What syringes share; by default nothing, so that each is a case of its own. */
function sharedOf({ follow = false, perLot, perNeedle = 1 }: RehearseOptions): SharedParts {
  const lot = perLot ?? Math.max(perNeedle, follow ? REHEARSE_DEFAULTS.followed : 1);
  return { perLot: lot, perNeedle: Math.min(perNeedle, lot), follow };
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
  p: { method: CheckMethod; seed: number; apart: number; shared?: SharedParts },
): RehearseResult {
  const { tally, target, syringes, lots } = made;
  const { method, seed, shared = ALONE } = p;
  const { connectors } = tally;
  const moments = connectors > 1 ? tally.moments() : null;
  const span = target.window.max - target.window.min;
  const share = (count: number) => (connectors === 0 ? null : (100 * count) / connectors);
  const rejected = ofSyringes(lots, 'rejected');
  const trimmed = ofSyringes(lots, 'trimmed');
  const falseRejects = ofSyringes(lots, 'falseRejects');
  const missed = ofSyringes(lots, 'missed');
  const outside = outsideInterval(made);
  const sd = moments === null || !(moments.sd > 0) ? null : moments.sd;
  return {
    check: { kind: method.kind, readings: method.readings, shots_per_reading: made.shotsPerReading },
    ...{ follow: shared.follow, syringes, syringes_per_lot: shared.perLot, syringes_per_needle: shared.perNeedle },
    ...{ connectors, connectors_per_syringe: made.shotsPlanned },
    aim_uL: target.aim * 1e9,
    window_uL: [target.window.min * 1e9, target.window.max * 1e9],
    outside_pct: share(tally.outside),
    outside_interval_pct: outside?.interval ?? null,
    ...{ too_little_pct: share(tally.tooLittle), too_much_pct: share(tally.tooMuch) },
    design_effect: outside?.effect ?? null,
    margin: moments === null ? null : { mean_uL: moments.margin * 1e9, standard_deviation_uL: moments.sd * 1e9 },
    cp: sd === null ? null : span / (6 * sd),
    cpk: sd === null ? null : Math.min(moments!.low, moments!.high) / (3 * sd),
    rejected_pct: rejected.pct,
    trimmed_pct: trimmed.pct,
    false_reject_pct: falseRejects.pct,
    missed_pct: missed.pct,
    intervals_pct: {
      ...{ rejected: rejected.interval, trimmed: trimmed.interval },
      ...{ false_reject: falseRejects.interval, missed: missed.interval },
    },
    reasons: [...made.reasons].map(([code, count]) => ({ code, syringes_pct: (100 * count) / syringes })),
    by_cause: connectors < 2 ? [] : tally.shares().map(({ cause, share }) => ({ cause, variance_pct: share * 100 })),
    ...{ seed, redrawn: made.redrawn, no_seat: made.noSeat, way: made.way, models: made.models },
    defaults: [...made.defaults, ...notesOf(made, p.apart, shared)],
  };
}

/**
 * Share of all syringes with its 95 % interval: Clopper–Pearson on the syringes over the design effect of their lots, which is one
 * where every syringe has a lot of its own.
 */
function ofSyringes(lots: readonly LotCount[], what: 'rejected' | 'trimmed' | 'falseRejects' | 'missed') {
  const counts = lots.map(lot => lot[what]);
  const sizes = lots.map(({ syringes }) => syringes);
  const [count, all] = [sum(counts), sum(sizes)];
  const effect = all === lots.length ? 1 : designEffect(counts, sizes);
  const of = all / effect;
  return { pct: (100 * count) / all, interval: interval({ count: Math.min(of, count / effect), of }) };
}

const sum = (values: readonly number[]) => values.reduce((a, b) => a + b, 0);

/**
 * Clopper–Pearson on the connectors over the design effect of their lots; with none outside the effect cannot be seen, and is
 * taken as one: the syringes with any outside (`missed`) are then the more careful bound.
 */
function outsideInterval({ tally, lots }: Rehearsal) {
  const { connectors } = tally;
  if (connectors === 0) return null;
  if (tally.outside === 0) return { effect: 1, interval: [0, 100 * noneSeen(connectors)] as const };
  const effect = designEffect(
    lots.map(({ outside }) => outside),
    lots.map(lot => lot.connectors),
  );
  const of = connectors / effect;
  return { effect, interval: interval({ count: Math.min(of, tally.outside / effect), of }) };
}

function interval(seen: { count: number; of: number }): readonly [number, number] {
  const { low, high } = proportionInterval(seen);
  return [100 * low, 100 * high];
}

function notesOf({ way }: Rehearsal, apart: number, { perLot }: SharedParts): string[] {
  return [
    perLot === 1
      ? 'a lot and a needle of its own for every syringe'
      : 'another lot: on a line set up anew, with another needle; its syringes run one after the other, without a pause',
    'temperature: not measured at the check, so that of the recipe is taken',
    `trimmed programs: made for thicknesses ${Number((apart * 100).toPrecision(2))} % apart`,
    ...(way === 'quick' ? [] : ['shots predicted by the models one by one: no curve follows them']),
  ];
}
