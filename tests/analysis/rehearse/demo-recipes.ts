import { readdirSync } from 'node:fs';
import { loadRecipe } from '../../../src/index.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';

/** Recipes of the demo that release a program. */
export const DEMO: readonly string[] = readdirSync('recipes').filter(name => name.endsWith('.yaml'));

export async function demoRecipe(name: string, set: readonly string[] = []): Promise<Recipe> {
  const { recipe } = await loadRecipe(`recipes/${name}`, { set });
  if (recipe === null) throw new Error(`${name} is not sound`);
  return recipe;
}
