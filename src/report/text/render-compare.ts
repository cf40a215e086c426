import type { FindingChange, RecipeComparison, RecipeState } from '../../analysis/changes/comparison.ts';
import { resultText, shareText } from '../../analysis/changes/result-changes.ts';
import { NONE } from '../words/number-text.ts';
import { paragraph } from '../words/paragraph.ts';
import { recipeTitle } from '../words/recipe-title.ts';
import { tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

export interface CompareResult {
  readonly old: string;
  readonly new: string;
  /** Those that differ, by path. */
  readonly recipes: readonly Omit<RecipeComparison, 'fileFindings'>[];
  readonly unchanged: number;
}

/** Every recipe that differs: inputs, results, what `check` says anew; then how many there are of each. */
export function renderCompare(result: CompareResult, view: View): string {
  const blocks = result.recipes.map(recipe => renderRecipe(recipe, view));
  return [...blocks, paragraph(`${result.old} → ${result.new}: ${countsText(result)}`, view.columns)].join('\n\n');
}

/** "2 changed, 1 added, 30 unchanged". */
export function countsText({ recipes, unchanged }: CompareResult): string {
  const states: readonly RecipeState[] = ['changed', 'added', 'removed', 'broken', 'mended'];
  const counts = states
    .map(state => [recipes.filter(recipe => recipe.state === state).length, state] as const)
    .filter(([count]) => count > 0)
    .map(([count, state]) => `${count} ${state}`);
  return [...counts, `${unchanged} unchanged`].join(', ');
}

function renderRecipe(recipe: CompareResult['recipes'][number], view: View): string {
  const parts = recipe.because.filter(file => file !== recipe.recipe);
  const through = parts.length === 0 ? '' : ` through ${parts.join(', ')}`;
  const head = paragraph(`${recipeTitle(recipe.name, recipe.recipe, view)}: ${recipe.state}${through}`, view.columns);
  const inputs = recipe.inputs.map(c => [c.path, c.old ?? NONE, c.new ?? NONE, '']);
  const results = recipe.results.map(c => [c.key, resultText(c.key, c.old), resultText(c.key, c.new), shareText(c)]);
  const columns = (what: string) => [
    { head: what },
    { head: 'old', align: 'right' as const },
    { head: 'new', align: 'right' as const },
    { head: 'change', align: 'right' as const },
  ];
  const tables = [
    ...(inputs.length > 0 ? [tableText(columns('input').slice(0, 3), inputs, view)] : []),
    ...(results.length > 0 ? [tableText(columns('result'), results, view)] : []),
    ...(recipe.findings.length > 0 ? [recipe.findings.map(f => findingLine(f, view)).join('\n')] : []),
  ];
  const none = recipe.state === 'changed' && results.length === 0 ? ['No result moves.'] : [];
  return [head, ...tables, ...none].join('\n\n');
}

function findingLine({ side, severity, message, code }: FindingChange, view: View): string {
  const indent = '  ';
  return paragraph(`${side} ${severity}: ${message} [${code}]`, view.columns, indent).trimStart();
}
