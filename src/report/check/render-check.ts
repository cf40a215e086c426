import { countText, recipesText, renderDiagnostics } from '../text/render-diagnostics.ts';
import { lineFor } from '../words/paragraph.ts';
import { type CheckInput, sourceLineOf } from './check-input.ts';
import { distinctOfRecipes } from './distinct-diagnostics.ts';

/** Every finding once with its place, line and, where it stands in a part, recipes; then how many there are. */
export function checkText({ checked, leftOut, view }: CheckInput): string {
  const all = distinctOfRecipes(checked, ({ diagnostics }) => diagnostics);
  const shown = checked.length > 1 ? all : all.map(d => ({ ...d, recipes: [] }));
  const findings = renderDiagnostics(shown, view, sourceLineOf(checked));
  const silenced = checked.reduce((sum, one) => sum + one.silenced.length, 0);
  const quiet = silenced === 0 ? '' : ` (${silenced} silenced)`;
  const parts = leftOut.length === 0 ? '' : `; ${leftOut.length} without a \`recipe:\` key left out`;
  const counts = all.length === 0 ? view.style.good(countText(all)) : countText(all);
  return `${findings}${lineFor(view, `${recipesText(checked)}: ${counts}${quiet}${parts}`)}\n`;
}
