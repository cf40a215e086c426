import { dirname } from 'node:path';
import { MODEL_VERSIONS } from '../../analysis/changes/model-versions.ts';
import { type RecipeResult, recipeResults } from '../../analysis/changes/recipe-results.ts';
import { isBelow } from '../../files/is-below.ts';
import type { KeptTexts } from '../../files/kept-texts.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { recipeRoot } from '../../recipe/parts/recipe-root.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Call } from '../terminal/command.ts';

/** Computes the results of recipes, and keeps them for a later call of the same program. */
export function computedAndKept(call: Call): (loaded: LoadedRecipe) => readonly RecipeResult[] {
  const keptFor = keptBeside(call);
  return loaded => {
    const { results } = recipeResults(loaded.recipe!);
    const kept = keptFor(loaded);
    const key = kept === null ? null : keyOf(loaded.recipe!);
    if (kept !== null && key !== null) kept.put(key, JSON.stringify(results));
    return results;
  };
}

/**
 * The results of recipes, as this very program computed them for this user before, or else computed now. Never believed: what
 * stands in the repository of the recipe, for that may come from anybody.
 */
export function keptOrComputed(call: Call): (loaded: LoadedRecipe) => readonly RecipeResult[] {
  const compute = computedAndKept(call);
  const keptFor = keptBeside(call);
  return loaded => {
    const kept = keptFor(loaded);
    const key = kept === null ? null : keyOf(loaded.recipe!);
    const text = kept === null || key === null ? null : kept.get(key);
    return (text === null ? null : resultsOf(text)) ?? compute(loaded);
  };
}

/** What is kept, where it stands outside the repository of a recipe. */
function keptBeside({ io, root }: Call): (loaded: LoadedRecipe) => KeptTexts | null {
  const kept = io.kept?.() ?? null;
  if (kept === null) return () => null;
  const outside = new Map<string, boolean>();
  return ({ file }) => {
    const folder = dirname(file);
    const known = outside.get(folder) ?? !isBelow(rootOf(folder), realOf(kept.folder));
    outside.set(folder, known);
    return known ? kept : null;
  };

  /** Links followed; what is not there yet has none. */
  function realOf(path: string): string {
    try {
      return io.files.realPath(path);
    } catch {
      return path;
    }
  }

  function rootOf(folder: string): string {
    return root === undefined ? recipeRoot(io.files.realPath(folder), io.files) : io.files.realPath(root);
  }
}

/** All that results depend on beside the program: every value of the recipe. Null where that cannot be told. */
function keyOf(recipe: Recipe): string | null {
  let plain = true;
  const text = JSON.stringify(recipe, (_, value: unknown) => {
    if (typeof value === 'number' && !Number.isFinite(value)) return String(value);
    if (typeof value === 'object' && value !== null && !Array.isArray(value)) {
      const prototype = Object.getPrototypeOf(value);
      plain &&= prototype === null || prototype === Object.prototype;
    } else plain &&= typeof value !== 'function' && typeof value !== 'bigint' && typeof value !== 'symbol';
    return value;
  });
  return plain ? text : null;
}

/** The results of a kept text; null where it is none. */
function resultsOf(text: string): RecipeResult[] | null {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return null;
  }
  return Array.isArray(data) && data.every(isResult) ? data : null;
}

function isResult(data: unknown): data is RecipeResult {
  if (typeof data !== 'object' || data === null) return false;
  const { key, value, models } = data as Partial<Record<keyof RecipeResult, unknown>>;
  const plain = value === null || ['string', 'boolean'].includes(typeof value) || Number.isFinite(value);
  return (
    typeof key === 'string' &&
    plain &&
    Array.isArray(models) &&
    models.every(name => Object.hasOwn(MODEL_VERSIONS, name))
  );
}
