import { resultText } from '../../analysis/changes/result-changes.ts';
import type { SweepResult } from '../../analysis/changes/sweep-result.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { settingText, unitSign } from '../words/number-text.ts';
import { tableText } from '../words/table.ts';
import type { View } from '../words/view.ts';

/** One point a row. Where the heads are too long for the line, each is cut to its last words that tell it from the others. */
export function renderSweep({ grid, take, points, failed }: SweepResult, view: View): string {
  const rows = points.map(({ values, results, diagnostics }) => [
    ...values.map(value => (typeof value === 'number' ? settingText(value) : value)),
    ...results.map((value, i) => resultText(take[i]!, value)),
    String(diagnostics),
  ]);
  const names = [...grid.map(({ path }) => path), ...take];
  const units = grid.map(({ unit }) => (unit === null ? '' : ` ${unitSign(unit)}`));
  const width = (heads: readonly string[]) => heads.reduce((sum, head) => sum + head.length + 2, 'findings'.length);
  const withUnits = (heads: readonly string[]) => heads.map((head, i) => head + (units[i] ?? ''));
  const full = withUnits(names);
  const heads = width(full) <= view.columns ? full : withUnits(names.map(name => shortest(name, names)));
  const columns = [...heads, 'findings'].map(head => ({ head, align: 'right' as const }));
  const count = counted(points.length, 'point');
  const rest = failed === 0 ? '' : `; ${failed} could not be computed, \`check\` with --set of its values says why`;
  return `${tableText(columns, rows, view)}\n\n${count}${rest}`;
}

/** The fewest last steps of a path that no other path ends in. */
function shortest(path: string, all: readonly string[]): string {
  const steps = path.split('.');
  for (let n = 1; n < steps.length; n++) {
    const end = steps.slice(-n).join('.');
    if (all.every(other => other === path || (other !== end && !other.endsWith(`.${end}`)))) return end;
  }
  return path;
}
