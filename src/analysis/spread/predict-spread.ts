import type { Recipe } from '../../recipe/schema/recipe.ts';
import { firstOrderSpread, judged } from './first-order-spread.ts';
import { firstOrderCapability } from './spread-keys.ts';
import { spreadProblem } from './spread-problem.ts';

/** First-order spread of the released setting, in SI. */
export interface PredictedSpread {
  readonly shot: number; // [m³]
  readonly window: { readonly min: number; readonly aim: number; readonly max: number } | null; // [m³]
  /** Standard uncertainty of shot less aim, of the shot where there is no window [m³]. */
  readonly uncertainty: number;
  /** The input with the largest share of its variance; null where nothing deviates. */
  readonly largest: { readonly path: string; readonly share: number } | null;
  /** Share of connectors whose reach is outside its window, by the normal distribution; null without a window. */
  readonly outside: number | null;
  readonly cp: number | null;
  readonly cpk: number | null;
}

/**
 * The spread of `settings` to first order, without findings and without a check of the steps: for rules that look at
 * thousands of recipes. Null where the recipe has no complete setting, or its shot cannot be worked out.
 */
export function predictSpread(recipe: Recipe): PredictedSpread | null {
  const pressure = recipe.settings?.pressure?.value;
  const dwell = recipe.settings?.dwell?.value;
  if (pressure === undefined || dwell === undefined) return null;
  const problem = spreadProblem(recipe, { pressure, dwell }).result;
  if (problem === null || !(problem.nominal.shot > 0)) return null;
  const first = firstOrderSpread(problem, { check: false });
  const { uncertainty, shares } = judged(first);
  const most = shares.reduce((best, share, i, all) => (share > all[best]! ? i : best), 0);
  const input = problem.inputs[most];
  return {
    ...problem.nominal,
    uncertainty,
    largest: input === undefined || !(uncertainty > 0) ? null : { path: input.paths[0]!, share: shares[most]! },
    ...firstOrderCapability(problem, first),
  };
}
