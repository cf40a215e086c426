import { blockIssues, type PartlyRead } from './block-checks.ts';
import { BuildContext } from './build-context.ts';
import { buildRecipe } from './build-recipe.ts';
import { correlationIssues } from './correlation-issues.ts';
import type { Issue } from './issue.ts';
import type { Path } from './path.ts';
import type { Plain } from './plain-data.ts';
import type { Recipe } from './recipe.ts';
import { type RawIssue, runSchema } from './schema/fields.ts';
import { DECLINED, quickReader } from './schema/quick-read.ts';
import { type RecipeData, recipeSchema } from './schema/recipe-schema.ts';
import { schemaIssues } from './schema-issues.ts';

export interface Checked {
  /** Null when there are issues. */
  readonly recipe: Recipe | null;
  readonly issues: readonly Issue[];
  /** Some text needs the expression engine: load it and check again. */
  readonly engineNeeded: boolean;
}

const readQuickly = quickReader(recipeSchema);

/** Sound data need no search for what is wrong with them. */
function readData(data: Plain): { value: RecipeData | undefined; issues: RawIssue[] } {
  const quick = readQuickly(data);
  if (quick !== DECLINED) return { value: quick as RecipeData, issues: [] };
  return runSchema<RecipeData>(recipeSchema, data);
}

/** Plain data to recipe; knows nothing of files and positions. `sourceOf` says where a value came from. */
export function checkData(data: Plain, sourceOf: (path: Path, text: string) => string): Checked {
  const { value, issues: raw } = readData(data);
  const issues = [...schemaIssues(raw, data), ...blockIssues(data, value as PartlyRead | undefined)];
  if (issues.some(i => i.code === 'engine-needed')) return { recipe: null, issues, engineNeeded: true };
  if (issues.length > 0 || value === undefined) return { recipe: null, issues, engineNeeded: false };
  const recipe = buildRecipe(value, new BuildContext(sourceOf));
  const late = correlationIssues(recipe);
  return { recipe: late.length === 0 ? recipe : null, issues: late, engineNeeded: false };
}
