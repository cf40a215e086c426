import type { Recipe } from '../../recipe/schema/recipe.ts';
import { unitFactor } from '../../units/format-quantity.ts';
import { NONE, settingText } from './number-text.ts';

/** A unit in which text speaks of a pressure: its name, and how much of it one kPa is. */
export interface DisplayUnit {
  readonly name: string;
  readonly perKpa: number;
}

/** Diameters are in millimetres, or in both. */
export type LengthUnit = 'mm' | 'in';

export interface DisplayUnits {
  readonly pressure: DisplayUnit;
  /** For hold-back, below atmosphere. */
  readonly vacuum: DisplayUnit;
  readonly length: LengthUnit;
}

/** The units of `station.display`, kPa and mm where it names none; the loader has checked what they are units of. */
export function displayUnits(recipe: Recipe): DisplayUnits {
  const display = recipe.station?.display;
  return { pressure: unitNamed(display?.pressure), vacuum: unitNamed(display?.vacuum), length: lengthUnit(recipe) };
}

/** The unit of diameters for people. */
export function lengthUnit(recipe: Recipe): LengthUnit {
  return recipe.station?.display.length ?? 'mm';
}

/** A diameter in inches, to about 0.03 mm. */
export function inchText(mm: number): string {
  return (mm / 25.4).toFixed(3);
}

function unitNamed(name = 'kPa'): DisplayUnit {
  return { name, perKpa: 1000 / unitFactor(name, 'pressure') };
}

/** A pressure with its unit; a null is a dash. */
export function pressureText(kPa: number | null | undefined, unit: DisplayUnit, digits = 4): string {
  return kPa === null || kPa === undefined ? NONE : `${pressureNumber(kPa, unit, digits)} ${unit.name}`;
}

/** A pressure without its unit, for a column that names it in its head. */
export function pressureNumber(kPa: number | null | undefined, unit: DisplayUnit, digits = 4): string {
  return settingText(kPa === null || kPa === undefined ? null : kPa * unit.perKpa, digits);
}
