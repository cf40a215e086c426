import type { FitResult } from '../../analysis/fit/fit.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import type { Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';

type Residual = FitResult['residuals'][number];

/** Where a residual could show what the model does not know. */
const AGAINST: readonly { readonly label: string; readonly of: (r: Residual, age: number | null) => number | null }[] =
  [
    { label: 'pressure kPa', of: r => r.pressure_kPa },
    { label: 'dwell s', of: r => r.dwell_s },
    { label: 'age min', of: (_, age) => age },
    { label: 'line of the file', of: r => r.line },
  ];

/**
 * Residuals of a fit against pressure, dwell, age and order; rows that stand apart carry their line. `ages` [min] by line; a chart
 * whose readings are all alike is left out.
 */
export function residualCharts(fit: FitResult, ages: ReadonlyMap<number, number>, measure?: TextMeasure): Drawing[] {
  return AGAINST.flatMap(({ label, of }) => {
    const points = fit.residuals.map(r => [of(r, ages.get(r.line) ?? null), r] as const);
    const shown = points.filter((p): p is readonly [number, Residual] => p[0] !== null);
    if (new Set(shown.map(([x]) => x)).size < 2) return [];
    return [residualChart(label, shown, measure)];
  });
}

function residualChart(label: string, shown: readonly (readonly [number, Residual])[], measure?: TextMeasure): Drawing {
  const series: Series = {
    name: 'row',
    dash: 'none',
    marker: 'dot',
    points: shown.map(([x, r]) => [x, r.residual_pct]),
    notes: shown.flatMap(([, r], index) => (r.outlier ? [{ index, text: `line ${r.line}` }] : [])),
  };
  const title = `Residuals against ${label.replace(/ (?:kPa|s|min)$/, '')}`;
  const rules = [{ axis: 'y' as const, at: 0, dash: 'solid' as const }];
  const y = { label: '% above the fit' };
  return lineChart({ title, x: { label }, y, series: [series], rules }, { width: 170, height: 80 }, measure);
}
