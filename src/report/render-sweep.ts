import type { ResultValue } from '../analysis/recipe-results.ts';
import { resultText } from '../analysis/result-changes.ts';
import { settingText } from './number-text.ts';
import { tableText } from './table.ts';
import type { View } from './view.ts';

export interface SweepResult {
  readonly grid: readonly {
    readonly path: string;
    /** Of the values; null for plain numbers and words. */
    readonly unit: string | null;
    readonly spacing: 'linear' | 'log' | 'list';
    readonly values: readonly (number | string)[];
  }[];
  /** Keys of results. */
  readonly take: readonly string[];
  /** The last axis runs fastest. */
  readonly points: readonly {
    readonly values: readonly (number | string)[];
    /** In the order of `take`; null where it cannot be computed or does not apply. */
    readonly results: readonly ResultValue[];
    /** How many findings the point has; `check --set` shows them. */
    readonly diagnostics: number;
  }[];
  /** Points at which a result could not be computed. */
  readonly failed: number;
}

/** One point a row. */
export function renderSweep({ grid, take, points, failed }: SweepResult, view: View): string {
  const columns = [
    ...grid.map(({ path, unit }) => ({ head: unit === null ? path : `${path} ${unit}`, align: 'right' as const })),
    ...take.map(head => ({ head, align: 'right' as const })),
    { head: 'findings', align: 'right' as const },
  ];
  const rows = points.map(({ values, results, diagnostics }) => [
    ...values.map(value => (typeof value === 'number' ? settingText(value) : value)),
    ...results.map((value, i) => resultText(take[i]!, value)),
    String(diagnostics),
  ]);
  const count = `${points.length} ${points.length === 1 ? 'point' : 'points'}`;
  const rest = failed === 0 ? '' : `; ${failed} could not be computed, \`check\` with --set of its values says why`;
  return `${tableText(columns, rows, view)}\n\n${count}${rest}`;
}
