import { inMillilitres, inMinutes, shortened } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { ResinCourse } from '../delivery/resin-course.ts';

/** What ends a run, after the key of the recipe that says so; `gel` is 90 % of the gel age. */
export type RampEnd = 'viscosity_factor' | 'age' | 'gel' | 'syringe' | 'dwell' | 'pressure';

/** A shot before it is made: age [s], viscosity factor [-], and what has left the syringe when it is in [m³]. */
export interface ShotToCome {
  readonly age: number;
  readonly factor: number;
  readonly dispensed: number;
}

/** A recipe and its last age [s]; null where its resin has no gel point. */
interface Parts {
  readonly recipe: Recipe;
  readonly delivery: { readonly course: Pick<ResinCourse, 'lastAge'> };
}

/** What ends the run before a shot, settings aside; null where nothing does. Limits are inclusive. */
export function runEnd(
  { recipe, delivery }: Parts,
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

/** What ends the run before a shot, and why in words; null where nothing does. */
export function stopReason(parts: Parts, at: ShotToCome): [RampEnd, string] | null {
  const end = runEnd(parts, at);
  return end === null ? null : [end, endInWords(end, parts, at)];
}

function endInWords(
  end: NonNullable<ReturnType<typeof runEnd>>,
  { recipe, delivery }: Parts,
  { age, factor, dispensed }: ShotToCome,
): string {
  const { process, station } = recipe;
  switch (end) {
    case 'gel':
      return `at ${inMinutes(age)} the resin is past 90 % of its gel age, ${inMinutes(delivery.course.lastAge!)}`;
    case 'age':
      return `at ${inMinutes(age)} the resin is older than \`stop_at.age\`, ${inMinutes(process!.stop_at!.age!.value)}`;
    case 'viscosity_factor': {
      const found = Number.isFinite(factor) ? shortened(factor) : 'beyond all numbers';
      return `at ${inMinutes(age)} the viscosity factor is ${found}, above ${process!.stop_at!.viscosity_factor!.value}`;
    }
    case 'syringe': {
      const { fill, left_over } = station!.syringe!;
      const usable = inMillilitres(fill.value - left_over.value);
      return `with it ${inMillilitres(dispensed)} would have left a syringe that gives ${usable}`;
    }
  }
}
