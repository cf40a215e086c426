import type { FitResult } from '../../analysis/fit/fit.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { estimatesText } from '../words/estimate-text.ts';
import { numberText } from '../words/number-text.ts';
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

/** What a chart of a fit is headed by, and the fonts it is set with. */
export interface FitChartInput {
  readonly title: string;
  readonly measure?: TextMeasure | undefined;
}

/** What was measured against the fit, with the fitted values, and the residuals. */
export function fitCharts(fit: FitResult, ages: ReadonlyMap<number, number>, input: FitChartInput): Drawing[] {
  return [measuredChart(fit, input), ...residualCharts(fit, ages, input)];
}

function measuredChart(fit: FitResult, { title, measure }: FitChartInput): Drawing {
  const shots = fit.residuals.flatMap(r => [r.model_uL, r.measured_uL]);
  const [least, most] = [Math.min(...shots), Math.max(...shots)];
  const series: Series[] = [
    {
      name: 'one weighing or dot',
      dash: 'none',
      marker: 'dot',
      points: fit.residuals.map(r => [r.model_uL, r.measured_uL]),
      notes: fit.residuals.flatMap((r, index) => (r.outlier ? [{ index, text: `line ${r.line}` }] : [])),
    },
    {
      name: 'as fitted',
      dash: 'dashed',
      marker: 'none',
      points: [
        [least, least],
        [most, most],
      ],
    },
  ];
  const percent = (share: number | null) => (share === null ? 'not known' : `${numberText(100 * share)} %`);
  const words = [
    estimatesText(fit.parameters),
    `${counted(fit.rows, 'row')}, scatter ${percent(fit.residual_sd)}${fit.pure_error_sd === null ? '' : `, of equal settings alone ${percent(fit.pure_error_sd)}`}.`,
    ...(fit.residuals.some(r => r.outlier) ? ['Circled: apart from the fit; look up what happened there.'] : []),
  ];
  const axes = { x: { label: 'shot by the fit µL' }, y: { label: 'shot as measured µL' } };
  return lineChart({ title, ...axes, series, words }, { width: 170, height: 112 }, measure);
}

/**
 * Residuals of a fit against pressure, dwell, age and order; rows that stand apart carry their line. `ages` [min] by line; a chart
 * whose readings are all alike is left out.
 */
export function residualCharts(fit: FitResult, ages: ReadonlyMap<number, number>, input: FitChartInput): Drawing[] {
  return AGAINST.flatMap(({ label, of }) => {
    const points = fit.residuals.map(r => [of(r, ages.get(r.line) ?? null), r] as const);
    const shown = points.filter((p): p is readonly [number, Residual] => p[0] !== null);
    if (new Set(shown.map(([x]) => x)).size < 2) return [];
    return [residualChart(label, shown, input)];
  });
}

function residualChart(
  label: string,
  shown: readonly (readonly [number, Residual])[],
  { title: of, measure }: FitChartInput,
): Drawing {
  const series: Series = {
    name: 'row',
    dash: 'none',
    marker: 'dot',
    points: shown.map(([x, r]) => [x, r.residual_pct]),
    notes: shown.flatMap(([, r], index) => (r.outlier ? [{ index, text: `line ${r.line}` }] : [])),
  };
  const title = `${of}: residuals against ${label.replace(/ (?:kPa|s|min)$/, '')}`;
  const rules = [{ axis: 'y' as const, at: 0, dash: 'solid' as const }];
  const y = { label: '% above the fit' };
  return lineChart({ title, x: { label }, y, series: [series], rules }, { width: 170, height: 80 }, measure);
}
