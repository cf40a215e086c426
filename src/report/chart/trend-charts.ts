import type { TrendResult } from '../../analysis/trend/trend.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { unitSign } from '../words/number-text.ts';
import type { Rule, Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';

const SIZE = { width: 170, height: 95 };
const SMALL = { width: 170, height: 60 };

const SCATTER: Readonly<Record<TrendResult['chart'], string>> = {
  imr: 'moving range',
  'xbar-r': 'range of subgroups',
  'xbar-s': 'standard deviation of subgroups',
  ewma: 'moving range',
};

/** The chart of a trend, with the numbers of the rules at the points where they fired, and the chart of its scatter. */
export function trendCharts(trend: TrendResult, title: string, measure?: TextMeasure): Drawing[] {
  return [valueChart(trend, title, measure), scatterChart(trend, title, measure)];
}

function valueChart(t: TrendResult, title: string, measure?: TextMeasure): Drawing {
  const values: Series = {
    name: t.chart === 'ewma' ? 'EWMA' : t.chart === 'imr' ? 'reading' : 'mean',
    points: t.points.map(p => [p.index, p.value]),
    dash: 'solid',
    marker: 'dot',
    notes: t.points.flatMap((p, i) => (p.rules.length > 0 ? [{ index: i, text: p.rules.join(',') }] : [])),
  };
  const steady = t.points.every(p => p.lower === t.limits.lower && p.upper === t.limits.upper);
  const { specification: spec } = t;
  const rules: Rule[] = [
    { axis: 'y', at: t.center, name: 'center', dash: 'solid' },
    ...(steady
      ? [t.limits.upper, t.limits.lower].map((at): Rule => ({ axis: 'y', at, name: 'limit', dash: 'dashed' }))
      : []),
    ...[spec.lower, spec.upper].flatMap((at): Rule[] =>
      at === null ? [] : [{ axis: 'y', at, name: 'specification', dash: 'dash-dot' }],
    ),
  ];
  const limit = (name: string, of: 'upper' | 'lower'): Series => ({
    name,
    points: t.points.map(p => [p.index, p[of]]),
    dash: 'dashed',
    marker: 'none',
    line: 'steps',
  });
  const series = steady ? [values] : [values, limit('upper limit', 'upper'), limit('lower limit', 'lower')];
  const shown = { title, x: { label: countOf(t) }, y: { label: labelOf(t, values.name) }, series, rules };
  return lineChart(shown, SIZE, measure);
}

function scatterChart(t: TrendResult, title: string, measure?: TextMeasure): Drawing {
  const name = SCATTER[t.chart];
  const series: Series = {
    name,
    points: t.range.points.map(p => [p.index, p.value]),
    dash: 'solid',
    marker: 'ring',
    notes: t.range.points.flatMap((p, i) => (p.beyond ? [{ index: i, text: '1' }] : [])),
  };
  const rules: Rule[] = [
    { axis: 'y', at: t.range.center, name: 'center', dash: 'solid' },
    { axis: 'y', at: t.range.upper, name: 'limit', dash: 'dashed' },
    ...(t.range.lower > 0 ? [{ axis: 'y', at: t.range.lower, name: 'limit', dash: 'dashed' } as const] : []),
  ];
  const y = { label: labelOf(t, name), min: 0 };
  return lineChart(
    { title: `${title}, ${name}`, x: { label: countOf(t) }, y, series: [series], rules },
    SMALL,
    measure,
  );
}

function countOf(t: TrendResult): string {
  return t.chart === 'imr' || t.chart === 'ewma' ? 'reading' : 'subgroup';
}

function labelOf(t: TrendResult, name: string): string {
  return t.unit === null ? name : `${name} ${unitSign(t.unit)}`;
}
