import { SPREAD_LOG, spreadTime } from '../../physics/drop/dot-spreading.ts';
import { type Rheology, viscosityAt, yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { DotCalibrationPoint, Recipe } from '../../recipe/schema/recipe.ts';
import { SOLID_FACTOR } from '../delivery/cure-model.ts';
import { type ResinConditions, resinCourse } from '../delivery/resin-course.ts';
import { standardUncertainty } from '../inputs/spread-terms.ts';

/** When a dot was shot. */
export interface DotMoment extends ResinConditions {
  readonly age: number; // [s]
}

/** Spreading is slow: its viscosity is taken at this shear rate [1/s]; ours, no source. */
const SLOW_SHEAR = 1;
/** Standard uncertainty of {@link SPREAD_LOG}, half of ± 5; ours, no source. */
const SPREAD_LOG_UNCERTAINTY = 2.5;

/** Λ of a recipe and its standard uncertainty [-]. */
export function spreadLogOf({ resin }: Recipe): { value: number; uncertainty: number } {
  const given = resin?.dot?.spread_log;
  if (given === undefined) return { value: SPREAD_LOG, uncertainty: SPREAD_LOG_UNCERTAINTY };
  return {
    value: given.value,
    uncertainty: given.tolerance === undefined ? 0 : standardUncertainty(given.tolerance),
  };
}

/** Viscosity [Pa.s] with which a dot shot at a moment spreads; null without a flow model, with a yield stress, or past use. */
export function spreadingViscosity(recipe: Recipe, { age, ...conditions }: DotMoment): number | null {
  if (recipe.resin?.rheology === undefined) return null;
  const course = resinCourse(recipe, conditions, 'a dot').result;
  if (course === null || !(course.cure.factor(age) < SOLID_FACTOR)) return null;
  return slowViscosity(course.at(age).rheology);
}

/** Viscosity [Pa.s] with which a dot of such a resin spreads; null with a yield stress. */
export function slowViscosity(rheology: Rheology): number | null {
  return yieldStressOf(rheology) > 0 ? null : viscosityAt(rheology, SLOW_SHEAR);
}

/** When a weighed dot was read, in the units of its spreading; null where it counts as read at rest. */
export function calibrationTime(recipe: Recipe, pair: DotCalibrationPoint, volume: number): number | null {
  const time = (pair.read_after ?? recipe.resin?.dot?.read_after)?.value;
  const surfaceTension = recipe.resin?.surface_tension?.value;
  if (pair.age === undefined || time === undefined || surfaceTension === undefined) return null;
  const temperature = pair.temperature === undefined ? {} : { temperature: pair.temperature.value };
  const viscosity = spreadingViscosity(recipe, { age: pair.age.value, ...temperature });
  if (viscosity === null) return null;
  return spreadTime({ volume, viscosity, surfaceTension, spreadLog: spreadLogOf(recipe).value, time });
}

/** Age [s] at which `process.stop_at` lays a syringe aside, or 90 % of gel; null where nothing does. */
export function stopAge(recipe: Recipe): number | null {
  const stop = recipe.process?.stop_at;
  const course = recipe.resin?.rheology === undefined ? null : resinCourse(recipe, {}, 'a dot').result;
  const factor = stop?.viscosity_factor?.value;
  const ages = [
    stop?.age?.value ?? null,
    factor === undefined ? null : (course?.cure.ageAtFactor(factor) ?? null),
    course?.lastAge ?? null,
  ].filter(age => age !== null);
  return ages.length === 0 ? null : Math.min(...ages);
}
