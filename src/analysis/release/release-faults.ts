import { inCelsius, inChances, inPercent, shortened } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import { temperatureAt } from '../../physics/cure/cure.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { resinThickening } from '../delivery/resin-course.ts';
import type { RunStart } from '../program/ramp-shots.ts';
import { stopReason } from '../program/run-end.ts';
import { type Reason, reason } from './release-decision.ts';
import type { ScatterTest } from './release-evidence.ts';

/** Scatter that a sound syringe shows less often than this is taken for a fault [-]; *our choice*. */
export const SCATTER_LEVEL = 0.01;

/*
 * What no program mends, in the order in which it is looked at: resin past its end at this age and temperature, or no connector left in
 * the syringe; a temperature outside that of the process; readings that scatter more than the recipe predicts.
 */

/** Resin past its end, or no connector left in the syringe. */
export function stopFault(
  recipe: Recipe,
  { from, perConnector, temperature }: { from: RunStart; perConnector: number; temperature: number | undefined },
): Reason[] {
  const thickening = recipe.resin === undefined ? null : resinThickening(recipe.resin, recipe.process, temperature);
  const cure = thickening?.result?.cure;
  if (cure === undefined) return [];
  const shot = { age: from.age, factor: cure.factor(from.age), dispensed: from.dispensed + perConnector };
  const stop = stopReason({ recipe, delivery: { course: cure } }, shot);
  return stop === null ? [] : [reason('stop', stop[1])];
}

/** A temperature outside that of the process; limits inclusive, and one without a tolerance has none. */
export function temperatureFault(
  { process }: Recipe,
  { from, temperature }: { from: RunStart; temperature: number | undefined },
): Reason[] {
  const wanted = process?.temperature;
  if (temperature === undefined || wanted === undefined) return [];
  const points = 'profile' in wanted ? wanted.profile.map(([, at]) => at) : [wanted];
  const halfWidths = points.flatMap(point => (point.tolerance === undefined ? [] : [point.tolerance.halfWidth]));
  if (halfWidths.length === 0) return [];
  const halfWidth = Math.max(...halfWidths);
  const due =
    'profile' in wanted
      ? temperatureAt(
          wanted.profile.map(([age, at]) => [age.value, at.value] as const),
          from.age,
        )
      : wanted.value;
  if (atMost(Math.abs(temperature - due), halfWidth)) return [];
  const text = `the resin is at ${inCelsius(temperature)}, the process asks for ${inCelsius(due)} ± ${shortened(halfWidth)} K`;
  return [reason('conditions', text)];
}

/** Readings that scatter more than the recipe predicts. */
export function scatterFault({ observed, predicted, p }: ScatterTest): Reason[] {
  if (observed === null || p === null || p >= SCATTER_LEVEL) return [];
  const text = `the readings scatter by ${inPercent(observed)}, the recipe predicts ${inPercent(predicted)}; chance makes that in ${inChances(p)} of checks: look for air in the resin, a loose needle, a slip in a reading`;
  return [reason('scatter', text)];
}
