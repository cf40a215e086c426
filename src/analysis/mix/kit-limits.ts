import type { Recipe } from '../../recipe/schema/recipe.ts';
import { largestInCup, mixCup } from './mix-cup.ts';
import { leastMass, type MixRatio, mixRatio } from './mix-ratio.ts';

/** Between which masses a kit can be mixed. */
export interface KitLimits {
  readonly ratio: MixRatio | null;
  /** Least mass [kg] that the scale keeps to the ratio; null where the recipe has no ratio or no scale. */
  readonly least: number | null;
  /** Greatest mass [kg] that stays cool enough; null where any does, or nothing is known of its heat. */
  readonly largest: number | null;
}

export function kitLimits(recipe: Recipe): KitLimits {
  const ratio = mixRatio(recipe);
  const cup = mixCup(recipe);
  const scale = ratio?.scale ?? null;
  return {
    ratio,
    least: ratio === null || scale === null ? null : leastMass({ ...ratio, scale }),
    largest: cup === null || 'missing' in cup ? null : largestInCup(cup),
  };
}

/** True where no mass is within the limits. */
export function noneFits({ least, largest }: KitLimits): boolean {
  return least !== null && largest !== null && least > largest;
}

/** A mass [kg] brought within the limits, of which some fit. */
export function withinLimits({ least, largest }: KitLimits, mass: number): number {
  return Math.min(Math.max(mass, least ?? mass), largest ?? Number.POSITIVE_INFINITY);
}
