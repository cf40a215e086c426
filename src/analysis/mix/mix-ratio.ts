import type { Recipe } from '../../recipe/schema/recipe.ts';

/** How base and hardener go together, by mass. */
export interface MixRatio {
  /** Base over hardener [-]. */
  readonly ratio: number;
  /** Half-width that the ratio may be off, relative [-]. */
  readonly tolerance: number;
  /** Half-width of one net weighing [kg]; null where the recipe has no scale. */
  readonly scale: number | null;
  /** Density of the parts [kg/m³]; null where the recipe does not say. */
  readonly baseDensity: number | null;
  readonly hardenerDensity: number | null;
}

/** The ratio of a recipe; null where it does not say how its resin is mixed. */
export function mixRatio({ resin, station }: Recipe): MixRatio | null {
  const mix = resin?.mix;
  if (mix === undefined) return null;
  const baseDensity = mix.base_density?.value ?? null;
  const hardenerDensity = mix.hardener_density?.value ?? null;
  const base = mix.base.value * ('volume' in mix.base ? baseDensity! : 1); // volumes have been asked for their density
  const hardener = mix.hardener.value * ('volume' in mix.hardener ? hardenerDensity! : 1);
  return {
    ratio: base / hardener,
    tolerance: mix.tolerance.value,
    scale: station?.scale?.value ?? null,
    ...{ baseDensity, hardenerDensity },
  };
}

/** What is weighed for a mixed mass [kg]. */
export function partsOf(ratio: number, mass: number): { base: number; hardener: number } {
  return { base: (mass * ratio) / (ratio + 1), hardener: mass / (ratio + 1) };
}

/**
 * How far the ratio may be off [-] when both parts of a mass [kg] are weighed to ± u [kg] each, u tared before each.
 *
 *   δ = √((u/base)² + (u/hardener)²) = (u/mass)·√(((r + 1)/r)² + (r + 1)²)
 */
export function ratioError(p: { ratio: number; scale: number; mass: number }): number {
  return leastMass({ ...p, tolerance: 1 }) / p.mass;
}

/** Least mass [kg] whose ratio is off by at most the tolerance: the inverse of {@link ratioError}. */
export function leastMass({ ratio, scale, tolerance }: { ratio: number; scale: number; tolerance: number }): number {
  return (scale / tolerance) * Math.hypot((ratio + 1) / ratio, ratio + 1);
}
