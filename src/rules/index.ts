import type { Finding } from '../diagnostics/finding.ts';
import type { Recipe } from '../recipe/recipe.ts';

/** An engineering rule: looks at a recipe whose shape is sound and says what is wrong with it. */
export type Rule = (recipe: Recipe) => readonly Finding[];

/** Every rule, in the order of the table in README.md. */
export const RULES: readonly Rule[] = [];

/** What the engineering rules have to say about a recipe, silenced findings included. */
export function runRules(recipe: Recipe): Finding[] {
  return RULES.flatMap(rule => rule(recipe));
}
