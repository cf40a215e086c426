import { distinct } from '../diagnostics/distinct.ts';
import type { Finding } from '../diagnostics/finding.ts';
import type { Recipe } from '../recipe/schema/recipe.ts';
import { analysisFindings } from './from-analyses.ts';
import { type Judged, judged } from './judged.ts';
import { RuleContext } from './rule-context.ts';
import { RULES } from './rules.ts';

/** What the engineering rules have to say about a recipe, those that it silences and those that follow from another included, each once. */
export function runRules(recipe: Recipe): Finding[] {
  const context = new RuleContext(recipe);
  return distinct([...analysisFindings(context), ...RULES.flatMap(rule => rule.check(context))]);
}

/**
 * What `check` says about a recipe whose shape is sound: findings, and those that the recipe silences. Blocks are known
 * again by identity: whoever changes a recipe makes new blocks, and changes none in place.
 */
export function checkRecipe(recipe: Recipe): Judged {
  return judged(recipe.silence, runRules(recipe));
}
