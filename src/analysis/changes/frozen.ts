import { freezeFinding } from '../../diagnostics/codes/freeze-codes.ts';
import { byPosition, type Diagnostic, type Finding, type Place, placed } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../../recipe/format/load.ts';
import type { LockEntry, LockFile } from '../../recipe/format/lock-file.ts';
import { changeText, type InputChange, inputChanges, recipeInputs } from '../../recipe/format/recipe-inputs.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { MODEL_VERSIONS, type ModelName } from './model-versions.ts';
import { type RecipeResult, type ResultValue, recipeResults, roundingOf } from './recipe-results.ts';
import { movedResults, type ResultChange, resultChangeText } from './result-changes.ts';
import { hasMoved, roundedResult } from './rounded-result.ts';

/** So many moved results a finding names, and so many changed inputs of one file have a finding of their own. */
const NAMED = 4;

/** What a lock file says of a sound recipe. A result that has not moved keeps the number that is on record. */
export function frozenEntry(
  recipe: Recipe,
  loaded: Pick<LoadedRecipe, 'data' | 'digest'>,
  before?: LockEntry,
): LockEntry {
  return entryOf(loaded, recipeResults(recipe).results, before);
}

/** The same of results that are worked out already. */
export function entryOf(
  loaded: Pick<LoadedRecipe, 'data' | 'digest'>,
  results: readonly RecipeResult[],
  before?: LockEntry,
): LockEntry {
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

/** A recipe held to a lock file. */
export interface Held {
  readonly loaded: LoadedRecipe;
  readonly lock: LockFile;
  /** The recipe in that file. */
  readonly path: string;
  /** What is computed from the recipe; worked out where it is not given. */
  readonly results?: readonly RecipeResult[];
}

/**
 * What is to be said of a recipe against its entry in a lock file, each finding where its cause stands: at the input that
 * changed, in the recipe or a part of it; in the lock file, where that does not go with this program. What follows for
 * the recipe is its `effect`. Of a recipe with an error there is nothing.
 */
export function frozenFindings({ loaded, lock, path, results: known }: Held): Diagnostic[] {
  const { recipe } = loaded;
  if (recipe === null) return [];
  const entry = lock.entries.get(path);
  if (entry === undefined) {
    return placeFindings(loaded, [freezeFinding('frozen-missing', null, `${lock.name} does not have this recipe`)]);
  }
  const all = known ?? recipeResults(recipe).results;
  const results = all.filter(({ key }) => entry.results.has(key));
  const moved = movedResults(entry.results, results);
  const inLock = (f: Finding, ...at: readonly string[]) =>
    placed(f, at.length === 0 ? lock.place(null) : lock.place(path, at));
  if (entry.digest !== loaded.digest) {
    return byInput(loaded, inputChanges(entry.inputs, recipeInputs(loaded.data)), moved, lock.name);
  }
  if (moved.length === 0) return unrecorded(all, entry, lock.name).map(f => inLock(f));
  const versions = changedModels(entry, moved, results);
  if (versions.length === 0) {
    const found =
      'neither an input nor the version of a model changed: the lock file was edited, or another build wrote it';
    return [inLock(movedFinding(null, `${found}; results moved from ${lock.name}`, moved), 'results', moved[0]!.key)];
  }
  return versions.map(text =>
    inLock(movedFinding(null, `the version of the model ${text} changed, and results moved from ${lock.name}`, moved)),
  );
}

/** Of every input that changed, at its place; of the fifth and further ones of one file with the fourth. */
function byInput(
  loaded: LoadedRecipe,
  changes: readonly InputChange[],
  moved: readonly ResultChange[],
  lock: string,
): Diagnostic[] {
  const finding = (path: string | null, what: string) =>
    moved.length === 0
      ? freezeFinding('frozen-stale', path, `${what} changed, and ${lock} has the old one; no result moved`)
      : movedFinding(path, `${what} changed, and results moved from ${lock}`, moved);
  if (changes.length === 0) return placeFindings(loaded, [finding(null, 'an input that is not on record')]);
  const byFile = new Map<string, { readonly change: InputChange; readonly at: Place }[]>();
  for (const change of changes) {
    const at = loaded.place(change.path);
    byFile.set(at.file, [...(byFile.get(at.file) ?? []), { change, at }]);
  }
  return [...byFile.values()]
    .flatMap(ofFile => {
      const more = ofFile.length - NAMED;
      return ofFile.slice(0, NAMED).map(({ change, at }, i) => {
        const rest = more > 0 && i === NAMED - 1 ? ` and ${more} more of this file` : '';
        return placed(finding(change.path, `${change.path} ${changeText(change)}${rest}`), at);
      });
    })
    .sort(byPosition);
}

function movedFinding(path: string | null, message: string, moved: readonly ResultChange[]): Finding {
  const rest = moved.length > NAMED ? ` and ${moved.length - NAMED} more` : '';
  const effect = `${moved.slice(0, NAMED).map(resultChangeText).join(', ')}${rest}`;
  return { ...freezeFinding('frozen-moved', path, message), effect };
}

/** A lock file of an earlier version keeps fewer results. */
function unrecorded(results: readonly RecipeResult[], entry: LockEntry, lock: string): Finding[] {
  const missing = results.filter(({ key }) => !entry.results.has(key)).map(({ key }) => key);
  if (missing.length === 0) return [];
  const rest = missing.length > NAMED ? ` and ${missing.length - NAMED} more` : '';
  const message = `${lock} does not keep ${missing.slice(0, NAMED).join(', ')}${rest}, as results are kept now`;
  return [freezeFinding('frozen-stale', null, message)];
}

/** With the inputs as they were, it is a model of ours that computes otherwise. */
function changedModels(entry: LockEntry, moved: readonly ResultChange[], results: readonly RecipeResult[]): string[] {
  const keys = new Set(moved.map(({ key }) => key));
  const involved = new Set(results.filter(({ key }) => keys.has(key)).flatMap(({ models }) => models));
  return (Object.keys(MODEL_VERSIONS) as ModelName[])
    .filter(name => entry.models[name] !== MODEL_VERSIONS[name])
    .filter(name => involved.has(name) || involved.size === 0)
    .map(name => `${name} ${entry.models[name] ?? 'absent'} → ${MODEL_VERSIONS[name]}`);
}
