import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Delivery } from '../delivery/operating-point.ts';

/** What ends a run, after the key of the recipe that says so; `gel` is 90 % of the gel age. */
export type RampEnd = 'viscosity_factor' | 'age' | 'gel' | 'syringe' | 'dwell' | 'pressure';

/** A shot before it is made: age [s], viscosity factor [-], and what has left the syringe when it is in [m³]. */
export interface ShotToCome {
  readonly age: number;
  readonly factor: number;
  readonly dispensed: number;
}

/** What ends the run before a shot, settings aside; null where nothing does. Limits are inclusive. */
export function runEnd(
  { recipe, delivery }: { readonly recipe: Recipe; readonly delivery: Delivery },
  { age, factor, dispensed }: ShotToCome,
): Exclude<RampEnd, 'dwell' | 'pressure'> | null {
  const { stop_at: stop } = recipe.process ?? {};
  const { lastAge } = delivery.course;
  if (lastAge !== null && !atMost(age, lastAge)) return 'gel';
  if (stop?.age !== undefined && !atMost(age, stop.age.value)) return 'age';
  if (stop?.viscosity_factor !== undefined && !atMost(factor, stop.viscosity_factor.value)) return 'viscosity_factor';
  const syringe = recipe.station?.syringe;
  return syringe !== undefined && !atMost(dispensed, syringe.fill.value - syringe.left_over.value) ? 'syringe' : null;
}
