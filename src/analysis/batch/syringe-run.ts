import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { inMillilitres } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { prepareDelivery } from '../delivery/operating-point.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import { type RampPlan, rampPlan } from '../program/ramp-shots.ts';
import type { RampEnd } from '../program/run-end.ts';
import { partInForce } from '../setpoint/program-in-force.ts';

/** What one syringe of a recipe can do; SI. */
export interface SyringeRun {
  readonly fill: number; // [m³]
  readonly leftOver: number; // [m³]
  /** Wasted with every new needle [m³]. */
  readonly prime: number;
  /** What a connector takes: bore shot and backfill [m³]. */
  readonly perConnector: number;
  /** Connectors of one syringe, if it does not grow old. */
  readonly capacity: number;
  /** Connectors of one needle; infinite where a needle lasts as long as its syringe. */
  readonly perNeedle: number;
  /** Age of the first production shot, and last age of any [s]; infinite where age ends nothing. */
  readonly readyAfter: number;
  readonly lastAge: number;
  /** What ends a syringe that is not yet empty. */
  readonly endedBy: Exclude<RampEnd, 'syringe'> | null;
  /** The last age of the same run under another temperature [s]; null where its resin cannot be. */
  readonly lastAgeOf: (recipe: Recipe) => number | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface SyringeRunOptions {
  /** Shots per needle, its prime included; a connector takes two. Absent: as long as its syringe. */
  readonly needleLife?: number;
  /** What goes into a syringe [m³]; default the recipe's `fill`. */
  readonly fill?: number;
}

/** Bore shot and backfill. */
export const SHOTS_PER_CONNECTOR = 2;

/**
 * How many connectors a syringe makes and until which age it may be used, from the same run that the ramp is made of.
 *
 *   (needles)·prime + connectors·(bore shot + aim) ≤ fill − left_over; needles = ⌈connectors/(connectors a needle)⌉
 *
 * The last age is that of `process.stop_at`, 90 % of the gel age, or the age at which the setting leaves the station's
 * limits, in a full or in a nearly empty syringe, whichever is first.
 */
export function syringeRun(recipe: Recipe, options: SyringeRunOptions = {}): Outcome<SyringeRun> {
  const filled = options.fill === undefined ? recipe : withFill(recipe, options.fill);
  const pressure = partInForce(filled, 'pressure');
  if (pressure.result === null) return { result: null, findings: pressure.findings };
  const { result: plan, findings } = rampPlan(filled, { by: 'dwell', fixed: pressure.result });
  const syringe = filled.station?.syringe;
  if (plan === null || syringe === undefined) return { result: null, findings: distinct(findings) };
  const { aim, boreShot } = plan.aim;
  const prime = plan.primeShots * aim;
  const perConnector = aim + boreShot;
  const perNeedle = connectorsPerNeedle(options.needleLife, plan.primeShots);
  const usable = syringe.fill.value - syringe.left_over.value;
  const capacity = capacityOf({ usable, prime, perConnector, perNeedle });
  if (capacity === 0) {
    const message = `prime and one connector take ${inMillilitres(prime + perConnector)}, a syringe gives ${inMillilitres(usable)}`;
    return { result: null, findings: [...findings, batchFinding('batch-syringe-small', syringe.fill.path, message)] };
  }
  const last = lastAgeOf(filled, plan, usable);
  const result: SyringeRun = {
    ...{ fill: syringe.fill.value, leftOver: syringe.left_over.value, prime, perConnector, capacity, perNeedle },
    readyAfter: filled.process?.ready_after.value ?? 0,
    lastAge: last.age,
    endedBy: last.reason,
    lastAgeOf: other => {
      const delivery = prepareDelivery(other).result;
      return delivery === null ? null : lastAgeOf(filled, { ...plan, delivery }, usable).age;
    },
    models: plan.shots[0]!.point.models,
    defaults: [...plan.shots[0]!.point.defaults, ...takenByDefault(filled, 'run')],
  };
  return { result, findings: distinct(findings) };
}

function withFill(recipe: Recipe, fill: number): Recipe {
  const { station } = recipe;
  if (station?.syringe === undefined) return recipe;
  return {
    ...recipe,
    station: { ...station, syringe: { ...station.syringe, fill: { ...station.syringe.fill, value: fill } } },
  };
}

/** Connectors that one needle serves before its life is used up; 0 when it does not outlast its prime. */
function connectorsPerNeedle(needleLife: number | undefined, primeShots: number): number {
  if (needleLife === undefined) return Number.POSITIVE_INFINITY;
  return Math.max(0, Math.floor((needleLife - primeShots) / SHOTS_PER_CONNECTOR));
}

function capacityOf(p: { usable: number; prime: number; perConnector: number; perNeedle: number }): number {
  if (p.perNeedle === 0) return 0;
  const holds = (connectors: number) => atMost(dispensedBy({ ...p, connectors }), p.usable);
  let count = 0;
  let beyond = 1;
  while (holds(beyond)) [count, beyond] = [beyond, 2 * beyond];
  while (beyond - count > 1 && beyond <= Number.MAX_SAFE_INTEGER) {
    const middle = Math.floor((count + beyond) / 2);
    if (holds(middle)) count = middle;
    else beyond = middle;
  }
  return count;
}

/** Needles that so many connectors of one syringe use up. */
export function needlesFor(connectors: number, perNeedle: number): number {
  return perNeedle === Number.POSITIVE_INFINITY ? 1 : Math.ceil(connectors / perNeedle);
}

/** What leaves a syringe for so many connectors [m³], prime of every needle included. */
export function dispensedBy(p: { connectors: number; prime: number; perConnector: number; perNeedle: number }): number {
  return needlesFor(p.connectors, p.perNeedle) * p.prime + p.connectors * p.perConnector;
}

function lastAgeOf(recipe: Recipe, plan: RampPlan, usable: number): { age: number; reason: SyringeRun['endedBy'] } {
  const { cure, lastAge } = plan.delivery.course;
  const stop = recipe.process?.stop_at;
  const atFactor = stop?.viscosity_factor === undefined ? null : cure.ageAtFactor(stop.viscosity_factor.value);
  const ends: { age: number; reason: SyringeRun['endedBy'] }[] = [
    { age: lastAge ?? Number.POSITIVE_INFINITY, reason: 'gel' },
    { age: stop?.age?.value ?? Number.POSITIVE_INFINITY, reason: 'age' },
    { age: atFactor ?? Number.POSITIVE_INFINITY, reason: 'viscosity_factor' },
  ];
  const first = ends.reduce((a, b) => (b.age < a.age ? b : a));
  const from = plan.shots[0]!.age;
  const ofSetting = [0, usable].map(dispensed => lastAgeOfSetting(plan, { dispensed, from, until: first.age }));
  const dwell = Math.min(...ofSetting);
  if (dwell < first.age) return { age: dwell, reason: 'dwell' };
  return first.age === Number.POSITIVE_INFINITY ? { age: first.age, reason: null } : first;
}

const LONGEST = 30 * 86_400; // [s]; a dwell that fits that long always fits

/** Last age [s] at which the dwell that keeps the aim is inside the station's limits; it grows with age. */
function lastAgeOfSetting(plan: RampPlan, p: { dispensed: number; from: number; until: number }): number {
  const fits = (age: number): boolean => {
    const point = plan.delivery.at({ age, dispensed: p.dispensed }).result;
    const dwell = point?.dwellFor({ pressure: plan.fixed, volume: plan.aim.aim }) ?? null;
    return dwell !== null && atMost(dwell, plan.limits.max);
  };
  let high = Math.min(p.until, LONGEST);
  if (fits(high)) return p.until;
  let low = p.from;
  while (high - low > 1e-6 * high) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
}
