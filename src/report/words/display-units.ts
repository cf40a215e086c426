import type { Recipe } from '../../recipe/schema/recipe.ts';
import { unitFactor } from '../../units/format-quantity.ts';
import { NONE, settingText } from './number-text.ts';

/** A unit in which text speaks of a pressure: its name, and how much of it one kPa is. */
export interface DisplayUnit {
  readonly name: string;
  readonly perKpa: number;
}

export interface DisplayUnits {
  readonly pressure: DisplayUnit;
  /** For hold-back, below atmosphere. */
  readonly vacuum: DisplayUnit;
}

/** The units of `station.display`, kPa where it names none; the loader has checked that they are units of pressure. */
export function displayUnits(recipe: Recipe): DisplayUnits {
  const display = recipe.station?.display;
  return { pressure: unitNamed(display?.pressure), vacuum: unitNamed(display?.vacuum) };
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
