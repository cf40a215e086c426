import { type Diagnostic, placed } from '../../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../../recipe/format/load.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Checked } from '../../report/check/check-input.ts';
import { distinctDiagnostics } from '../../report/check/distinct-diagnostics.ts';
import { checkRecipe } from '../../rules/index.ts';
import { findingOfThrown } from '../recipes/one-of-several.ts';

/** What `check` says about one recipe, as plain data. */
export type CheckedData = Omit<Checked, 'sourceLine'>;

/** What `check` says about one loaded recipe of `several`, or alone: what is wrong with the file, or else what the rules find. */
export function checkedRecipe(loaded: LoadedRecipe, several: boolean): CheckedData {
  const { findings, silenced } = loaded.recipe === null ? NOTHING : ruled(loaded.recipe, several);
  const diagnostics: Diagnostic[] = [...loaded.findings, ...placeFindings(loaded, findings)];
  const quiet = silenced.map(({ finding, reason }) => ({ ...placed(finding, loaded.place(finding.path)), reason }));
  return {
    file: loaded.file,
    name: loaded.recipe?.name ?? null,
    diagnostics: distinctDiagnostics(diagnostics),
    silenced: distinctDiagnostics(quiet),
  };
}

const NOTHING: ReturnType<typeof checkRecipe> = { findings: [], silenced: [] };

/** What the rules find; what keeps them from judging is a finding like any other, see `findingOfThrown`. */
export function ruled(recipe: Recipe, several: boolean): ReturnType<typeof checkRecipe> {
  try {
    return checkRecipe(recipe);
  } catch (error) {
    return { ...NOTHING, findings: [findingOfThrown(error, several)] };
  }
}
