import { type Diagnostic, placed } from '../diagnostics/finding.ts';
import { type LoadedRecipe, placeFindings } from '../recipe/load.ts';
import type { Checked } from '../report/check-input.ts';
import { distinctDiagnostics } from '../report/distinct-diagnostics.ts';
import { checkRecipe } from '../rules/index.ts';
import type { RecipeInput } from './find-recipes.ts';
import { sourceLines } from './source-lines.ts';

/** What `check` says about one loaded recipe: what is wrong with the file, or else what the rules find. */
export function checkedRecipe(loaded: LoadedRecipe, files: RecipeInput['files']): Checked {
  const { findings, silenced } = loaded.recipe === null ? NOTHING : checkRecipe(loaded.recipe);
  const diagnostics: Diagnostic[] = [...loaded.diagnostics, ...placeFindings(loaded, findings)];
  const quiet = silenced.map(({ finding, reason }) => ({ ...placed(finding, loaded.place(finding.path)), reason }));
  return {
    file: loaded.file,
    name: loaded.recipe?.name ?? null,
    diagnostics: distinctDiagnostics(diagnostics),
    silenced: distinctDiagnostics(quiet),
    sourceLine: sourceLines(files),
  };
}

const NOTHING = { findings: [], silenced: [] };
