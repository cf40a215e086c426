import type { CheckInput } from './check-input.ts';
import { countText, renderDiagnostics } from './render-diagnostics.ts';

/** Every finding with its place and line, then how many there are. */
export function checkText({ checked, leftOut, view }: CheckInput): string {
  const findings = checked.map(one => renderDiagnostics(one.diagnostics, view, one.sourceLine)).join('');
  const all = checked.flatMap(({ diagnostics }) => diagnostics);
  const silenced = checked.reduce((sum, one) => sum + one.silenced.length, 0);
  const recipes = `${checked.length} ${checked.length === 1 ? 'recipe' : 'recipes'} checked`;
  const quiet = silenced === 0 ? '' : ` (${silenced} silenced)`;
  const parts = leftOut.length === 0 ? '' : `; ${leftOut.length} without a \`recipe:\` key left out`;
  const counts = all.length === 0 ? view.style.good(countText(all)) : countText(all);
  return `${findings}${recipes}: ${counts}${quiet}${parts}\n`;
}
