import { SOLID_FACTOR } from '../analysis/delivery/cure-model.ts';
import type { Delivery, OperatingPoint } from '../analysis/delivery/operating-point.ts';
import { unroundedSetting } from '../analysis/program/program-stages.ts';
import { primeNeeded } from '../analysis/program/ramp-shots.ts';
import { type RampEnd, runEnd } from '../analysis/program/run-end.ts';
import { ageOfShot } from '../analysis/program/shot-clock.ts';
import { programRun } from '../analysis/ramp/program-run.ts';
import { releasedProgram } from '../analysis/setpoint/program-in-force.ts';
import { inMinutes } from '../diagnostics/number-words.ts';
import { atLeast, atMost, LIMIT_GRACE } from '../numeric/limits.ts';
import { gridValue } from '../numeric/setting-grid.ts';
import type { Rheology } from '../physics/rheology/rheology.ts';
import type { Recipe } from '../recipe/schema/recipe.ts';
import type { RuleContext } from './rule-context.ts';

/** One connector of the run, made with the program in force. */
export interface RunShot {
  readonly shot: number; // from 1
  readonly age: number; // [s]
  readonly dwell: number; // [s]
  readonly volume: number; // [m³]
  /** volume/aim − 1 [-] */ readonly error: number;
  /** Limits included. */ readonly withinWindow: boolean;
}

/** What the released settings do from the first connector of a syringe to the last. */
export interface SettingsRun {
  /** Of a stretch of shots that differ in number and age alone, the first. */
  readonly shots: readonly RunShot[];
  readonly end: { readonly reason: RampEnd; readonly shot: number; readonly age: number };
  /** What has left the syringe when the last backfill is in [m³]. */ readonly dispensed: number;
  /** What one more connector would take [m³]. */ readonly perConnector: number;
}

/** The parts of a run that do not change from shot to shot. */
interface Parts {
  readonly recipe: Recipe;
  readonly delivery: Delivery;
  readonly pressure: number;
  readonly window: { readonly min: number; readonly aim: number; readonly max: number };
  readonly boreShot: number;
  readonly primeShots: number;
  readonly dwellLimits: { readonly min: number; readonly max: number };
}

/** A run longer than this has no end that matters; as in the ramp. */
const MOST_SHOTS = 20_000;

/**
 * The run of one syringe with the released settings, shot by shot as `programRun` has it; null where the recipe
 * lacks a block for it, or nothing in it would end the run.
 *
 * Where the flow of the resin is its viscosity or consistency apart from the pressure (Newtonian, power law) and the air
 * does not know how full the syringe is, one delivery serves all ages:
 *
 *   V(dwell, age) = V(dwell, age of the first shot)·(K_first/K)^(1/n), n = 1 for a Newtonian resin
 *
 * and so it does with such air for any resin that never thickens, whose shots then are the same one.
 *
 * Evidence: a test compares with `programRun` over random recipes.
 */
export function settingsRun(context: RuleContext): SettingsRun | null {
  const parts = partsOf(context);
  if (parts === null || !hasEnd(parts)) return null;
  const first = context.start.result;
  if (first === null) return null;
  const flows = thickness(first.rheology);
  const closed = fixedAir(parts.recipe) && (flows !== null || neverThickens(parts));
  const run = closed ? scaled(parts, first) : evaluated(parts);
  return run === null || run.shots.length === 0 ? null : run;
}

function partsOf(context: RuleContext): Parts | null {
  const { recipe, window, setting, needleVolume } = context;
  const delivery = context.delivery.result;
  const dwell = recipe.station?.dwell;
  const boreShot = context.book.result?.boreShot ?? null;
  if (window === null || setting === null || needleVolume === null || boreShot === null) return null;
  if (delivery === null || recipe.process?.takt === undefined || dwell === undefined) return null;
  const primeShots = Math.max(recipe.process?.prime ?? 0, primeNeeded(needleVolume, window.aim));
  const dwellLimits = { min: dwell.min.value, max: dwell.max.value };
  return { recipe, delivery, pressure: setting.pressure, window, boreShot, primeShots, dwellLimits };
}

/** Without a stop a run ends only where the station's limits do, which is no plan; it is not judged then. */
function hasEnd({ recipe, delivery }: Parts): boolean {
  const { stop_at: stop } = recipe.process ?? {};
  const stops = stop?.age !== undefined || stop?.viscosity_factor !== undefined;
  return stops || recipe.station?.syringe !== undefined || delivery.course.lastAge !== null;
}

/** Consistency and exponent of flows that are proportional to consistency^(−exponent) at any pressure. */
function thickness(rheology: Rheology): { readonly value: number; readonly exponent: number } | null {
  if (rheology.model === 'newtonian') return { value: rheology.viscosity, exponent: 1 };
  if (rheology.model === 'power-law') return { value: rheology.consistency, exponent: 1 / rheology.flowIndex };
  return null;
}

/** Air whose pulse does not depend on what is left in the syringe. */
function fixedAir({ station }: Recipe): boolean {
  return station === undefined || station.air.model !== 'iso6358';
}

/** A resin without cure at one temperature is the same at any age. */
function neverThickens({ recipe, delivery }: Parts): boolean {
  return recipe.resin?.cure.model === 'none' && typeof delivery.course.temperature === 'number';
}

function scaled(parts: Parts, first: OperatingPoint): SettingsRun | null {
  const { recipe, window, pressure } = parts;
  const program = releasedProgram(recipe);
  if (program === null) return null;
  const thinnerAt = thinning(parts, first);
  // The shot rises with the dwell, so that the exact dwell is inside the limits while the aim is between their shots.
  const { min, max } = parts.dwellLimits;
  const least = first.deliver({ pressure, dwell: min * (1 - LIMIT_GRACE) }).volume;
  const most = first.deliver({ pressure, dwell: max * (1 + LIMIT_GRACE) }).volume;
  const shots: RunShot[] = [];
  const steady = !recipe.settings?.ramp?.length && neverThickens(parts);
  let [step, dwell, delivered] = [Number.NaN, 0, 0]; // the dwell stays the same over many shots
  for (let shot = 1; shot <= MOST_SHOTS; shot++) {
    const age = ageOfShot(recipe, shot);
    const factor = parts.delivery.course.cure.factor(age);
    const stop = runEnd(parts, { age, factor, dispensed: dispensedBy(parts, shot) });
    if (stop !== null) return ended(parts, shots, stop, shot - 1);
    const thinner = thinnerAt(age, factor);
    if (thinner === null) return null;
    if (least * thinner > window.aim || most * thinner < window.aim) return ended(parts, shots, 'dwell', shot - 1);
    const stepNow = unroundedSetting(program.stages, shot, program.pressesPerShot);
    if (stepNow !== step) {
      step = stepNow;
      dwell = gridValue(step, 1);
      delivered = first.deliver({ pressure, dwell }).volume;
    }
    const volume = delivered * thinner;
    const withinWindow = atLeast(volume, window.min) && atMost(volume, window.max);
    shots.push({ shot, age, dwell, volume, error: volume / window.aim - 1, withinWindow });
    if (steady) shot = Math.max(shot, lastShot(parts, factor));
  }
  return null;
}

/** The last shot before what stops a run in which each is like the first; no setting has a part in it. */
function lastShot(parts: Parts, factor: number): number {
  const stopsAt = (shot: number) =>
    runEnd(parts, { age: ageOfShot(parts.recipe, shot), factor, dispensed: dispensedBy(parts, shot) }) !== null;
  let [going, stopped] = [1, MOST_SHOTS + 1];
  while (stopped - going > 1) {
    const middle = Math.floor((going + stopped) / 2);
    if (stopsAt(middle)) stopped = middle;
    else going = middle;
  }
  return going;
}

/**
 * Flow at an age over that of the first shot, at any pressure; null where the resin has set. At one temperature age alone
 * moves it.
 */
function thinning(
  { delivery: { course } }: Parts,
  first: OperatingPoint,
): (age: number, factor: number) => number | null {
  const base = thickness(first.rheology) ?? { value: 1, exponent: 1 }; // never thickens
  return (age, factor) => {
    if (!(factor < SOLID_FACTOR)) return null;
    if (typeof course.temperature === 'number') return (first.viscosityFactor / factor) ** base.exponent;
    const now = thickness(course.at(age).rheology)?.value ?? base.value;
    return (base.value / now) ** base.exponent;
  };
}

/** What has left the syringe when the backfill of a shot is in [m³]. */
function dispensedBy({ window, boreShot, primeShots }: Parts, shot: number): number {
  return primeShots * window.aim + shot * (boreShot + window.aim);
}

function ended(parts: Parts, shots: readonly RunShot[], reason: RampEnd, shot: number): SettingsRun | null {
  if (shots.length === 0) return null;
  const end = { reason, shot, age: ageOfShot(parts.recipe, shot) };
  const perConnector = parts.boreShot + parts.window.aim;
  return { shots, end, dispensed: dispensedBy(parts, shot), perConnector };
}

/** Any other resin or air: every shot by itself. */
function evaluated(parts: Parts): SettingsRun | null {
  const { result } = programRun(parts.recipe);
  if (result === null) return null;
  const shots = result.shots.map(shot => ({ ...shot, withinWindow: shot.withinWindow ?? true }));
  return ended(parts, shots, result.end.reason, shots.length);
}

/** "shot 37 (age 40.5 min)" */
export function shotInWords({ shot, age }: { shot: number; age: number }): string {
  return `shot ${shot} (age ${inMinutes(age)})`;
}
