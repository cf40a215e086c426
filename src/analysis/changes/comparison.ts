import type { Diagnostic, Finding, Severity } from '../../diagnostics/finding.ts';
import type { LoadedRecipe } from '../../recipe/format/load.ts';
import { type InputChange, inputChanges, meaningfulChanges, recipeInputs } from '../../recipe/format/recipe-inputs.ts';
import { recipeResults } from './recipe-results.ts';
import { movedResults, type ResultChange, valuesByKey } from './result-changes.ts';

/** What a change does to a recipe; broken and mended: it could be computed on one side only. */
export type RecipeState = 'changed' | 'added' | 'removed' | 'broken' | 'mended' | 'unchanged';

/** A finding that one side has and the other has not. */
export interface FindingChange {
  readonly side: 'new' | 'gone';
  readonly severity: Severity;
  readonly code: string;
  readonly path: string | null;
  readonly message: string;
}

export interface RecipeComparison {
  /** Path of the recipe; of the old one where it was removed. */
  readonly recipe: string;
  readonly name: string | null;
  readonly state: RecipeState;
  /** Files that differ and that the recipe is made of: itself, or parts it starts from. */
  readonly because: readonly string[];
  readonly inputs: readonly InputChange[];
  readonly results: readonly ResultChange[];
  readonly findings: readonly FindingChange[];
  /** What is wrong with the new file. */
  readonly fileFindings: readonly Diagnostic[];
}

/** A recipe as one side of a comparison has it. */
export interface ComparedSide {
  readonly loaded: LoadedRecipe;
  /** What the rules say about it; empty where it is broken. */
  readonly findings: readonly Finding[];
}

/** What changed between two versions of a recipe, one of which may be absent: inputs and, above all, what follows from them. */
export function recipeComparison(
  recipe: string,
  old: ComparedSide | null,
  now: ComparedSide | null,
  because: readonly string[],
): RecipeComparison {
  const [was, is] = [old?.loaded.recipe ?? null, now?.loaded.recipe ?? null];
  const state = stateOf(old, now);
  const base = {
    recipe,
    name: (is ?? was)?.name ?? null,
    state,
    because: state === 'unchanged' ? [] : because,
    fileFindings: now?.loaded.findings ?? [],
  };
  if (state === 'unchanged') return { ...base, inputs: [], results: [], findings: [] };
  const texts = inputChanges(inputsOf(old), inputsOf(now));
  return {
    ...base,
    // An added or removed recipe is all input; what counts is what it amounts to.
    inputs: old === null || now === null ? [] : was === null || is === null ? texts : meaningfulChanges(texts, was, is),
    results: movedResults(
      was === null ? new Map() : valuesByKey(recipeResults(was).results),
      is === null ? [] : recipeResults(is).results,
    ),
    findings: [...findingChanges('new', now, old), ...findingChanges('gone', old, now)],
  };
}

function inputsOf(side: ComparedSide | null): ReadonlyMap<string, string> {
  return side === null ? new Map() : recipeInputs(side.loaded.data);
}

function stateOf(old: ComparedSide | null, now: ComparedSide | null): RecipeState {
  if (old === null) return now?.loaded.recipe === null ? 'broken' : 'added';
  if (now === null) return 'removed';
  const [was, is] = [old.loaded.recipe, now.loaded.recipe];
  const same = old.loaded.digest === now.loaded.digest;
  if (is === null) return was === null && same ? 'unchanged' : 'broken';
  if (was === null) return 'mended';
  // A silence moves no result, but what `check` says.
  return same && findingChanges('new', now, old).length + findingChanges('gone', old, now).length === 0
    ? 'unchanged'
    : 'changed';
}

/** Told apart by code and path: the numbers in a message move with every change. */
function findingChanges(
  side: FindingChange['side'],
  having: ComparedSide | null,
  other: ComparedSide | null,
): FindingChange[] {
  const known = new Set((other?.findings ?? []).map(f => `${f.code} ${f.path}`));
  return (having?.findings ?? [])
    .filter(f => !known.has(`${f.code} ${f.path}`))
    .map(({ severity, code, path, message }) => ({ side, severity, code, path, message }));
}
