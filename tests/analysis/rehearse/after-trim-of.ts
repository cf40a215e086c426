import { operatingPoint } from '../../../src/analysis/delivery/operating-point.ts';
import { type AfterTrim, afterTrim } from '../../../src/analysis/rehearse/after-trim.ts';
import { settingInForce } from '../../../src/analysis/setpoint/program-in-force.ts';
import { firstOrderSpread } from '../../../src/analysis/spread/first-order-spread.ts';
import { spreadProblem } from '../../../src/analysis/spread/spread-problem.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';

/** What `spread` has after trim, of so many syringes, without the samples before it. */
export function afterTrimOf(recipe: Recipe, { syringes, seed }: { syringes: number; seed: number }): AfterTrim {
  const setting = settingInForce(recipe).result!;
  const problem = spreadProblem(recipe, setting).result!;
  const made = afterTrim({
    ...{ recipe, problem, setting, syringes, seed },
    point: operatingPoint(recipe, {}, 'a test').result!,
    first: firstOrderSpread(problem),
    progress: undefined,
    run: () => null,
  });
  if (made?.rehearsal == null) throw new Error('the check cannot be rehearsed');
  return made;
}
