import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Setting } from '../delivery/operating-point.ts';
import type { SpreadInput } from '../inputs/spread-inputs.ts';
import { firstOrderSpread } from '../spread/first-order-spread.ts';
import { isTrimmed } from '../spread/spread-measures.ts';
import { spreadProblem } from '../spread/spread-problem.ts';

/** Relative standard deviations of the shot that the recipe's tolerances make [-]. */
export interface ReleaseSpread {
  /** From shot to shot of one syringe; null where the recipe says nothing of it. */
  readonly shot: number | null;
  /** Of what a trim takes out: whatever is the same for a syringe, needle or lot. */
  readonly trimmed: number;
  /** The parts of it: from lot to lot, needle to needle, syringe to syringe. */
  readonly lot: number;
  readonly needle: number;
  readonly syringe: number;
}

/** First-order parts of the spread of a setting, as `spread` has them. */
export function releaseSpread(recipe: Recipe, setting: Setting): ReleaseSpread {
  const problem = spreadProblem(recipe, setting).result;
  if (problem === null || !(problem.nominal.shot > 0)) return { shot: null, trimmed: 0, lot: 0, needle: 0, syringe: 0 };
  const part = (counts: (input: SpreadInput) => boolean): number => {
    const scale = Float64Array.from(problem.inputs, input => (counts(input) ? 1 : 0));
    return firstOrderSpread(problem, { scale, check: false }).shot.uncertainty / problem.nominal.shot;
  };
  const ofShot = (input: SpreadInput) => input.per === 'shot' && input.moves;
  return {
    shot: problem.inputs.some(ofShot) ? part(ofShot) : null,
    trimmed: part(isTrimmed),
    lot: part(({ per }) => per === 'lot'),
    needle: part(({ per }) => per === 'needle'),
    syringe: part(({ per }) => per === 'syringe'),
  };
}
