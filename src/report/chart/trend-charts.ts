import type { TrendResult } from '../../analysis/trend/trend.ts';
import { counted } from '../../diagnostics/number-words.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { numberText, unitSign } from '../words/number-text.ts';
import { firedRules, quietVerdict } from '../words/trend-verdict.ts';
import type { Axis, DashName, Rule, Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';
import { daysText, timeTicks } from './time-ticks.ts';

const SIZE = { width: 170, height: 112 };
const SMALL = { width: 170, height: 62 };

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
  const line = (name: string, at: number, dash: DashName): Rule => ({
    ...{ axis: 'y', at, dash, name: `${name} ${numberText(at, 4)}` },
  });
  const rules: Rule[] = [
    line('centre', t.center, 'solid'),
    ...(steady ? [line('upper limit', t.limits.upper, 'dashed'), line('lower limit', t.limits.lower, 'dashed')] : []),
    ...[spec.lower, spec.upper].flatMap((at): Rule[] => (at === null ? [] : [line('specified', at, 'dash-dot')])),
  ];
  const limit = (name: string, of: 'upper' | 'lower'): Series => ({
    name,
    points: t.points.map(p => [p.index, p[of]]),
    dash: 'dashed',
    marker: 'none',
    line: 'steps',
  });
  const series = steady ? [values] : [values, limit('upper limit', 'upper'), limit('lower limit', 'lower')];
  const shown = { title, x: xAxis(t), y: { label: labelOf(t, values.name) }, series, rules, words: wordsOf(t) };
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
    { axis: 'y', at: t.range.center, name: `centre ${numberText(t.range.center)}`, dash: 'solid' },
    { axis: 'y', at: t.range.upper, name: `upper limit ${numberText(t.range.upper)}`, dash: 'dashed' },
    ...(t.range.lower > 0
      ? [{ axis: 'y', at: t.range.lower, name: `lower limit ${numberText(t.range.lower)}`, dash: 'dashed' } as const]
      : []),
  ];
  const y = { label: labelOf(t, name), min: 0 };
  return lineChart({ title: `${title}, ${name}`, x: xAxis(t), y, series: [series], rules }, SMALL, measure);
}

/** Points in their order; by their times where they have some. */
function xAxis(t: TrendResult): Axis {
  const names = t.points.map(p => p.label);
  const ticks = timeTicks(names);
  if (ticks === null) return { label: countOf(t), min: 1 };
  const ends = { min: 0.5, max: names.length + 0.5 };
  return { label: `${countOf(t)}s in their order, ${daysText(names)}`, ticks, ...ends };
}

/** What the chart comes to, for who has no other page. */
function wordsOf(t: TrendResult): string[] {
  const unit = t.unit === null ? '' : ` ${unitSign(t.unit)}`;
  const { capability: c } = t;
  const able =
    c === null
      ? ''
      : ` Cpk ${numberText(c.cpk)}, 95 % interval ${c.intervals.cpk.map(v => numberText(v)).join(' to ')}.`;
  const chance =
    t.rules.length === 0
      ? ''
      : ` Of steady processes ${numberText(t.false_signal_pct, 2)} % show a signal in so many points.`;
  return [
    `${counted(t.readings, 'reading')} in ${counted(t.points.length, 'point')}; sigma ${numberText(t.sigma)}${unit}, all readings together ${numberText(t.overall_sd)}${unit}.${able}`,
    `${firedRules(t) ?? quietVerdict(t) ?? 'The scatter is beyond its limits.'}${chance}`,
  ];
}

function countOf(t: TrendResult): string {
  return t.chart === 'imr' || t.chart === 'ewma' ? 'reading' : 'subgroup';
}

function labelOf(t: TrendResult, name: string): string {
  return t.unit === null ? name : `${name} ${unitSign(t.unit)}`;
}
