import { ConvergenceError } from '../../numeric/convergence-error.ts';
import { conversionRate } from '../../physics/cure/castro-macosko.ts';
import { type CupHeat, cupCourse, cupSurface, largestMass } from '../../physics/cure/cup-heat.ts';
import { cureProblems } from '../../physics/cure/cure-problems.ts';
import { temperatureAt } from '../../physics/cure/temperature-profile.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { cureModel, temperatureFindings, temperatureProfile } from '../delivery/cure-model.ts';

/** Heat conductivity of a resin that does not say [W/(m.K)]; ours, no source. */
export const CONDUCTIVITY = 0.2;
/** Biot number above which the core of a mass is hotter than its balance says [-]. */
export const WARM_CORE = 0.1;

/** What keeps the heat of a mixed mass from being worked out: a key that the recipe lacks. */
export interface NoHeat {
  readonly missing: string;
}

/** A mixed mass in its cup. */
export interface MixCup {
  readonly heat: CupHeat;
  readonly rise: number; // [K]
  /** Until then the mass stands in the cup [s]. */
  readonly until: number;
  readonly conductivity: number; // [W/(m.K)]
}

/** The cup of a recipe with all that its heat needs; null where it says nothing of heat at all. */
export function mixCup({ resin, process }: Recipe): MixCup | NoHeat | null {
  const { cup } = process ?? {};
  const reaction = resin?.heat_of_reaction;
  if (cup === undefined && reaction === undefined) return null;
  if (cup === undefined) return { missing: 'process.cup' };
  if (resin === undefined || reaction === undefined) return { missing: 'resin.heat_of_reaction' };
  if (resin.heat_capacity === undefined) return { missing: 'resin.heat_capacity' };
  if (resin.density === undefined) return { missing: 'resin.density' };
  const cure = cureModel(resin);
  const profile = temperatureProfile(process);
  if (cure.model !== 'castro-macosko') return { missing: 'resin.cure with the model castro-macosko' };
  if (cureProblems(cure).length > 0) return { missing: 'a resin.cure that can be used' };
  if (temperatureFindings(profile).length > 0) return { missing: 'a process.temperature that can be used' };
  return {
    heat: {
      rate: (conversion, temperature) => conversionRate(cure, conversion, temperature),
      heatOfReaction: reaction.value,
      heatCapacity: resin.heat_capacity.value,
      density: resin.density.value,
      diameter: cup.diameter.value,
      wall: cup.wall.value,
      room: profile === null ? resin.reference_temperature.value : temperatureAt(profile, 0),
    },
    rise: cup.rise.value,
    until: process?.ready_after.value ?? 0,
    conductivity: resin.conductivity?.value ?? CONDUCTIVITY,
  };
}

/** Greatest mass [kg] that warms by no more than the rise until it is used; null where any does, or where no balance can be worked out. */
export function largestInCup({ heat, rise, until }: MixCup): number | null {
  return balanced(() => largestMass({ ...heat, rise, until }));
}

/** Null for values so extreme that their heat balance cannot be followed. */
function balanced<T>(work: () => T): T | null {
  try {
    return work();
  } catch (error) {
    if (error instanceof ConvergenceError) return null;
    throw error;
  }
}

function peakUntil({ heat, until }: MixCup, mass: number): number {
  return cupCourse({ ...heat, mass, until }).peak;
}

/** A mass in its cup; SI. */
export interface MassInCup {
  /** How warm it gets, left standing [K], and when [s]. */
  readonly peak: number;
  readonly peakTime: number;
  /** Warmest by more than the room until `process.ready_after` [K]. */
  readonly rise: number;
  readonly height: number; // [m]
  /** h·(V/A)/k; above 0.1 the core is hotter. */
  readonly biot: number;
}

export interface CupKeys {
  /** Of the mass, left standing in the cup. */
  readonly peak_C: number;
  readonly peak_min: number;
  /** ΔH/c: what it would warm by if no heat left it. */
  readonly adiabatic_rise_K: number;
  /** Null where any mass stays within the rise. */
  readonly largest_mass_g: number | null;
  readonly room_C: number;
  /** Warmest by more than the room until `process.ready_after`. */
  readonly rise_until_ready_K: number;
  /** How high the mass stands in the cup. */
  readonly height_mm: number;
  /** h·(V/A)/k; above 0.1 the core is hotter. */
  readonly biot: number;
}

/** A mass [kg] in its cup; null for values so extreme that nothing can be worked out. */
export function massInCup(cup: MixCup, mass: number): MassInCup | null {
  const { heat, until } = cup;
  const course = balanced(() => cupCourse({ ...heat, mass }));
  if (course === null || !Number.isFinite(course.peak)) return null;
  const ready = course.peakTime <= until ? course.peak : until === 0 ? heat.room : balanced(() => peakUntil(cup, mass));
  if (ready === null) return null;
  const volume = mass / heat.density;
  return {
    ...{ peak: course.peak, peakTime: course.peakTime, rise: ready - heat.room },
    height: (4 * volume) / (Math.PI * heat.diameter ** 2),
    biot: (heat.wall * volume) / (cupSurface({ ...heat, mass }) * cup.conductivity),
  };
}

/** What is said of it, beside the {@link largestInCup} [kg]. */
export function cupKeys({ heat }: MixCup, mass: MassInCup, largest: number | null): CupKeys {
  return {
    peak_C: mass.peak - 273.15,
    peak_min: mass.peakTime / 60,
    adiabatic_rise_K: heat.heatOfReaction / heat.heatCapacity,
    largest_mass_g: largest === null ? null : largest * 1e3,
    room_C: heat.room - 273.15,
    rise_until_ready_K: mass.rise,
    height_mm: mass.height * 1e3,
    biot: mass.biot,
  };
}
