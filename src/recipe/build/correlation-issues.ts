import { didYouMean } from '../../diagnostics/suggestion.ts';
import type { Quantity, Recipe } from '../schema/recipe.ts';
import { type Issue, issue } from './issue.ts';

/** Correlations must name quantities of the recipe, two different ones that deviate. */
export function correlationIssues(recipe: Recipe): Issue[] {
  if (recipe.correlations.length === 0) return [];
  const quantities = new Map(quantitiesOf(recipe).map(q => [q.path, q]));
  const fromTable = tableSizes(recipe);
  return recipe.correlations.flatMap(({ between }, i) => {
    const unknown = between.flatMap((path, k) => {
      const at = ['correlations', i, 'between', k];
      const found = quantities.get(path);
      if (found === undefined && fromTable.has(path)) return [];
      if (found === undefined) {
        const near = didYouMean(path, [...quantities.keys(), ...fromTable]);
        return [issue('path-unknown', at, `"${path}" is no quantity of this recipe`, near)];
      }
      if (found.tolerance !== undefined || 'per' in found) return [];
      return [issue('path-unknown', at, `"${path}" has no tolerance to go with another`, 'give it a tolerance')];
    });
    if (unknown.length > 0 || between[0] !== between[1]) return unknown;
    return [issue('path-unknown', ['correlations', i, 'between', 1], 'a deviation cannot go with itself', null)];
  });
}

/** Sizes that the recipe leaves to the gauge table: their tolerance is that of the table, under the key that they stand for. */
function tableSizes({ needle }: Recipe): Set<string> {
  const sizes = new Set<string>();
  if (needle?.gauge === undefined) return sizes;
  if (needle.bore === undefined && needle.sections === undefined) sizes.add('needle.bore');
  if (needle.outside === undefined) sizes.add('needle.outside');
  return sizes;
}

/** Every quantity of a recipe, each path once, in the order of its keys. */
function quantitiesOf(recipe: Recipe): Quantity[] {
  const found = new Map<string, Quantity>();
  const walk = (value: unknown): void => {
    if (Array.isArray(value)) for (const item of value) walk(item);
    else if (typeof value === 'object' && value !== null) {
      if ('value' in value && 'source' in value && 'path' in value) {
        const q = value as Quantity;
        if (!found.has(q.path)) found.set(q.path, q);
      } else for (const inner of Object.values(value)) walk(inner);
    }
  };
  walk(recipe);
  return [...found.values()];
}
