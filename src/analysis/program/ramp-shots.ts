import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inPercent, inSeconds, inWords } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DispenseAim, dispenseAim } from '../cavity/dispense-aim.ts';
import type { ResolvedNeedle } from '../delivery/needle.ts';
import { type Delivery, needleVolume, type OperatingPoint, prepareDelivery } from '../delivery/operating-point.ts';
import { ageOfShot, pressesPerShot } from '../program/shot-clock.ts';
import { type RampEnd, stopReason } from './run-end.ts';

/** What is ramped: the dwell at one pressure, or the pressure at one dwell. */
export type RampBy = 'dwell' | 'pressure';

export interface Pause {
  readonly duration: number; // [s]
  /** The pause comes after this shot. */ readonly afterShot: number;
}

export interface RampPlanOptions {
  readonly by: RampBy;
  /** The setting that stays: pressure [Pa] when the dwell is ramped, dwell [s] when the pressure is. */
  readonly fixed: number;
  readonly pauses?: readonly Pause[];
  readonly temperature?: number;
  readonly lotFactor?: number;
  /** Where the run starts; default: with its first shot. */
  readonly from?: RunStart | undefined;
}

/** Where a run starts or goes on: with which shot, at which age, and with how much out of the syringe. */
export interface RunStart {
  readonly shot: number;
  readonly age: number; // [s]
  readonly dispensed: number; // [m³]
}

/** One connector of the run. */
export interface RampShot {
  readonly shot: number; // from 1
  readonly age: number; // [s]
  /** What has left the syringe when its backfill is in, prime included [m³]. */ readonly dispensed: number;
  readonly point: OperatingPoint;
  /** The ramped setting that delivers the aim exactly [s or Pa]. */ readonly exact: number;
  /** volume/aim − 1 of its backfill at a ramped setting [-]. */
  readonly error: (setting: number) => number;
}

export interface RampPlan {
  readonly by: RampBy;
  readonly fixed: number;
  readonly aim: DispenseAim;
  readonly delivery: Delivery;
  readonly primeShots: number;
  readonly shots: readonly RampShot[];
  readonly end: { readonly reason: RampEnd; readonly shot: number; readonly age: number };
  /** Presses of the station's counter for one connector. */ readonly pressesPerShot: 1 | 2;
  readonly limits: { readonly min: number; readonly max: number; readonly step: number; readonly addStep: number };
}

/** A run longer than this has no end that matters. */
const MOST_SHOTS = 20_000;

/**
 * The connectors that one syringe makes, each with its age, what has been dispensed, and the setting that keeps the aim.
 *
 *   age of shot i = ready_after + (i − 1)·takt + pauses before it; dispensed = prime·aim + i·(bore shot + aim)
 *
 * The run goes on while viscosity factor and age are within `process.stop_at`, the resin is before 90 % of its gel age, the
 * syringe holds a full connector above `left_over`, and the exact setting is inside the limits of the station; limits are
 * inclusive with a relative grace of 1e-9.
 */
export function rampPlan(recipe: Recipe, options: RampPlanOptions): Outcome<RampPlan> {
  const { by, fixed, ...others } = options;
  const isNothing = (value: unknown) => value === undefined || (Array.isArray(value) && value.length === 0);
  if (!Object.values(others).every(isNothing)) return madePlan(recipe, options);
  const last = LAST_PLAN.get(recipe);
  if (last?.by === by && last.fixed === fixed) return last.plan;
  const plan = madePlan(recipe, options);
  LAST_PLAN.set(recipe, { by, fixed, plan });
  return plan;
}

/** Setpoint, ramp and the released program of a recipe follow one another, and ask for the same plan. */
const LAST_PLAN = new WeakMap<Recipe, Pick<RampPlanOptions, 'by' | 'fixed'> & { readonly plan: Outcome<RampPlan> }>();

function madePlan(recipe: Recipe, options: RampPlanOptions): Outcome<RampPlan> {
  const purpose = 'a ramp';
  const aim = dispenseAim(recipe, purpose);
  const delivery = prepareDelivery(recipe, options, purpose);
  const limits = limitsOf(recipe, options.by);
  const findings = [...aim.findings, ...delivery.findings];
  if (recipe.process?.takt === undefined) findings.push(blockMissing('process.takt', purpose));
  if (limits === null) findings.push(blockMissing(`station.${options.by}`, purpose));
  if (aim.result === null || delivery.result === null || recipe.process?.takt === undefined || limits === null) {
    return { result: null, findings };
  }
  const fine = tooFine(recipe, limits, options.by);
  if (fine.length > 0) return { result: null, findings: [...findings, ...fine] };
  const parts = { recipe, options, aim: aim.result, delivery: delivery.result, limits };
  const primeShots = primeShotsOf(recipe, aim.result, delivery.result.needle);
  const run = runOf(parts, primeShots);
  findings.push(...run.findings);
  if (run.end === null) return { result: null, findings };
  const result: RampPlan = {
    ...{ by: options.by, fixed: options.fixed, aim: aim.result, delivery: delivery.result, primeShots, limits },
    ...{ shots: run.shots, end: run.end },
    pressesPerShot: pressesPerShot(recipe),
  };
  return { result, findings };
}

function limitsOf({ station }: Recipe, by: RampBy): RampPlan['limits'] | null {
  if (by === 'dwell') {
    const { dwell } = station ?? {};
    if (station === undefined || dwell === undefined) return null;
    const { min, max, step } = dwell;
    return { min: min.value, max: max.value, step: step.value, addStep: station.ramp.add_step.value };
  }
  const { pressure, rating } = station ?? {};
  if (pressure === undefined) return null;
  const max = Math.min(pressure.max.value, rating?.value ?? Number.POSITIVE_INFINITY);
  return { min: pressure.min.value, max, step: pressure.step.value, addStep: pressure.step.value };
}

/** Steps up to the greatest setting; what is finer no station holds, and the search for a program would not end. */
const MOST_STEPS = 1e7;

function tooFine({ station }: Recipe, { max }: RampPlan['limits'], by: RampBy): Finding[] {
  const steps = by === 'dwell' ? [station?.dwell?.step, station?.ramp.add_step] : [station?.pressure?.step];
  return steps.flatMap(quantity => {
    // A default repeats another step, which has said it.
    if (quantity === undefined || quantity.source === 'default') return [];
    const { value: one, path: key } = quantity;
    if (max / one <= MOST_STEPS) return [];
    const say = (value: number) => (by === 'dwell' ? inSeconds(value) : inWords(value, 'kPa'));
    const message = `${say(one)} a step makes more than ${MOST_STEPS} of them up to ${say(max)}`;
    return [deliveryFinding('setpoint-impossible', key, message, 'write the step that the station can hold')];
  });
}

interface Parts {
  readonly recipe: Recipe;
  readonly options: RampPlanOptions;
  readonly aim: DispenseAim;
  readonly delivery: Delivery;
  readonly limits: RampPlan['limits'];
}

/** Shots to waste: as the recipe says, and never fewer than fill the needle. */
export function primeShotsOf({ process }: Recipe, aim: DispenseAim, needle: ResolvedNeedle): number {
  return Math.max(process?.prime ?? 0, primeNeeded(needleVolume(needle), aim.aim));
}

/** Shots of an aim [m³] that fill a needle [m³]. */
export function primeNeeded(needle: number, aim: number): number {
  return Math.ceil(needle / aim - 1e-9);
}

/** Age and what has left the syringe when a shot of a run that never rests begins: prime, and every connector before it. */
export function runStart(recipe: Recipe, { aim, boreShot }: DispenseAim, primeShots: number, shot: number): RunStart {
  return { shot, age: ageOfShot(recipe, shot), dispensed: primeShots * aim + (shot - 1) * (boreShot + aim) };
}

function runOf(parts: Parts, primeShots: number) {
  const { recipe, options, aim, delivery } = parts;
  const perConnector = aim.boreShot + aim.aim;
  const from = options.from ?? runStart(recipe, aim, primeShots, 1);
  const late = from.age - ageOfShot(recipe, from.shot);
  const shots: RampShot[] = [];
  const findings: Finding[] = [];
  const ended = (reason: RampEnd, why: string) => {
    const last = shots.at(-1);
    if (last !== undefined) return { shots, findings, end: { reason, shot: last.shot, age: last.age } };
    findings.push(deliveryFinding('ramp-no-shot', KEY_OF_END[reason], `the run ends before its first shot: ${why}`));
    return { shots, findings, end: null };
  };
  for (let shot = from.shot; shot < from.shot + MOST_SHOTS; shot++) {
    const age = ageOfShot(recipe, shot) + late + pausedBefore(options.pauses ?? [], shot);
    const before = from.dispensed + (shot - from.shot) * perConnector;
    const factor = delivery.course.cure.factor(age);
    const stop = stopReason(parts, { age, factor, dispensed: before + perConnector });
    if (stop !== null) return ended(...stop);
    const at = delivery.at({ age, dispensed: before + aim.boreShot });
    for (const f of at.findings) if (!findings.some(known => known.code === f.code)) findings.push(f);
    if (at.result === null) return { shots, findings, end: null };
    const made = shotAt(options, at.result, aim.aim);
    const outside = settingReason(parts, made?.exact ?? null);
    if (outside !== null || made === null) return ended(options.by, outside ?? 'nothing flows');
    shots.push({ shot, age, dispensed: before + perConnector, point: at.result, ...made });
  }
  findings.push(
    deliveryFinding('ramp-endless', 'process.stop_at', `after ${MOST_SHOTS} shots nothing has ended the run`),
  );
  return { shots, findings, end: null };
}

const KEY_OF_END: Record<RampEnd, string> = {
  viscosity_factor: 'process.stop_at',
  age: 'process.stop_at',
  gel: 'resin.cure',
  syringe: 'station.syringe.fill',
  dwell: 'station.dwell',
  pressure: 'station.pressure',
};

function pausedBefore(pauses: readonly Pause[], shot: number): number {
  return pauses.reduce((sum, pause) => sum + (pause.afterShot < shot ? pause.duration : 0), 0);
}

/** The exact setting and the error of others, or null where no setting delivers the aim. */
function shotAt(
  options: RampPlanOptions,
  point: OperatingPoint,
  aim: number,
): Pick<RampShot, 'exact' | 'error'> | null {
  const { by, fixed } = options;
  const exact =
    by === 'dwell'
      ? point.dwellFor({ pressure: fixed, volume: aim })
      : point.pressureFor({ dwell: fixed, volume: aim });
  if (exact === null) return null;
  const error =
    by === 'dwell'
      ? (dwell: number) => point.deliver({ pressure: fixed, dwell }).volume / aim - 1
      : (pressure: number) => point.deliver({ pressure, dwell: fixed }).volume / aim - 1;
  return { exact, error };
}

/** Why the exact setting cannot be made, or null where it can. */
function settingReason({ options, limits }: Parts, exact: number | null): string | null {
  if (exact === null) return 'the pressure does not move the resin';
  if (atLeast(exact, limits.min) && atMost(exact, limits.max)) return null;
  const say = (value: number) => (options.by === 'dwell' ? inSeconds(value) : inWords(value, 'kPa'));
  return `it would need ${say(exact)}, the station allows ${say(limits.min)} to ${say(limits.max)}`;
}

/** Share as a sentence shows it; kept here so that ramp and rules speak alike. */
export const errorInWords = (error: number): string => `${error > 0 ? '+' : ''}${inPercent(error)}`;
