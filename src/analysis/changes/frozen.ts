import { freezeFinding } from '../../diagnostics/codes/freeze-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import type { LockEntry } from '../../recipe/format/lock-file.ts';
import { changeText, inputChanges, recipeInputs } from '../../recipe/format/recipe-inputs.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { MODEL_VERSIONS, type ModelName } from './model-versions.ts';
import { type RecipeResult, type ResultValue, recipeResults, roundingOf } from './recipe-results.ts';
import { movedResults, type ResultChange, resultChangeText } from './result-changes.ts';
import { hasMoved, roundedResult } from './rounded-result.ts';

/** How many moved results a message names. */
const NAMED = 4;

/** What a lock file says of a sound recipe. A result that has not moved keeps the number that is on record. */
export function frozenEntry(
  recipe: Recipe,
  loaded: Pick<LoadedRecipe, 'data' | 'digest'>,
  before?: LockEntry,
): LockEntry {
  const { results } = recipeResults(recipe);
  return {
    digest: loaded.digest,
    models: MODEL_VERSIONS,
    inputs: recipeInputs(loaded.data),
    results: new Map(results.map(result => [result.key, recorded(result, before?.results.get(result.key))])),
  };
}

function recorded({ key, value }: RecipeResult, before: ResultValue | undefined): ResultValue {
  if (typeof value !== 'number') return value;
  const rounding = roundingOf(key);
  return typeof before === 'number' && !hasMoved(before, value, rounding) ? before : roundedResult(value, rounding);
}

/** What is to be said of a sound recipe against its entry in the lock file; `lock` is the name of that file. */
export function frozenFindings(
  recipe: Recipe,
  loaded: Pick<LoadedRecipe, 'data' | 'digest'>,
  entry: LockEntry | undefined,
  lock: string,
): Finding[] {
  if (entry === undefined) return [freezeFinding('frozen-missing', null, `${lock} does not have this recipe`)];
  const { results: all } = recipeResults(recipe);
  const results = all.filter(({ key }) => entry.results.has(key));
  const moved = movedResults(entry.results, results);
  const inputs =
    entry.digest === loaded.digest
      ? []
      : inputChanges(entry.inputs, recipeInputs(loaded.data)).map(c => `${c.path} ${changeText(c)}`);
  if (moved.length === 0) {
    if (entry.digest === loaded.digest) return unrecordedFindings(all, entry, lock);
    return [
      freezeFinding('frozen-stale', null, `no result moved, but ${inputsText(inputs)} (${lock} has the old one)`),
    ];
  }
  const cause = entry.digest === loaded.digest ? modelCause(entry, moved, results) : inputsText(inputs);
  const named = moved.slice(0, NAMED).map(resultChangeText);
  const rest = moved.length > NAMED ? ` and ${moved.length - NAMED} more` : '';
  return [freezeFinding('frozen-moved', null, `${named.join(', ')}${rest} moved from ${lock}: ${cause}`)];
}

/** A lock file of an earlier version keeps fewer results. */
function unrecordedFindings(results: readonly RecipeResult[], entry: LockEntry, lock: string): Finding[] {
  const missing = results.filter(({ key }) => !entry.results.has(key)).map(({ key }) => key);
  if (missing.length === 0) return [];
  const rest = missing.length > NAMED ? ` and ${missing.length - NAMED} more` : '';
  const message = `${lock} does not keep ${missing.slice(0, NAMED).join(', ')}${rest}, as results are kept now`;
  return [freezeFinding('frozen-stale', null, message)];
}

function inputsText(inputs: readonly string[]): string {
  if (inputs.length === 0) return 'an input changed that is not on record';
  const rest = inputs.length > NAMED ? ` and ${inputs.length - NAMED} more` : '';
  return `${inputs.slice(0, NAMED).join(', ')}${rest} changed`;
}

/** With the inputs as they were, it is a model of ours that computes otherwise. */
function modelCause(entry: LockEntry, moved: readonly ResultChange[], results: readonly RecipeResult[]): string {
  const keys = new Set(moved.map(({ key }) => key));
  const involved = new Set(results.filter(({ key }) => keys.has(key)).flatMap(({ models }) => models));
  const changed = (Object.keys(MODEL_VERSIONS) as ModelName[])
    .filter(name => entry.models[name] !== MODEL_VERSIONS[name])
    .filter(name => involved.has(name) || involved.size === 0)
    .map(name => `${name} ${entry.models[name] ?? 'absent'} → ${MODEL_VERSIONS[name]}`);
  if (changed.length > 0) return `no input changed; the version of the model ${changed.join(', ')} did`;
  return 'neither an input nor the version of a model changed: the lock file was edited, or another build wrote it';
}
