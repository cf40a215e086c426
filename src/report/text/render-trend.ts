import type { TrendPoint, TrendResult } from '../../analysis/trend/trend.ts';
import { textChart } from '../chart/text-chart.ts';
import { NONE, numberText, unitSign } from '../words/number-text.ts';
import { blocksText } from '../words/paragraph.ts';
import { pairsText, tableText } from '../words/table.ts';
import { quietVerdict } from '../words/trend-verdict.ts';
import type { View } from '../words/view.ts';

const CHARTS: Readonly<Record<TrendResult['chart'], string>> = {
  imr: 'individuals',
  'xbar-r': 'subgroup means and ranges',
  'xbar-s': 'subgroup means and standard deviations',
  ewma: 'EWMA',
};

/** The chart in characters, its limits, the points at which a rule fired, and the capability. */
export function renderTrend(trend: TrendResult, title: string, view: View): string {
  return blocksText([chart(trend, title, view), limits(trend, view), signals(trend, view), capability(trend, view)]);
}

function chart(t: TrendResult, title: string, view: View): string {
  return textChart({
    title: view.style.strong(`${title}: ${CHARTS[t.chart]}`),
    xLabel: t.chart === 'imr' || t.chart === 'ewma' ? 'reading' : 'subgroup',
    yLabel: unitSign(t.unit ?? ''),
    series: [
      { name: 'in control', points: plainPoints(t) },
      { name: 'rule fired', points: t.points.filter(p => p.rules.length > 0).map(p => [p.index, p.value] as const) },
    ],
    rules: [
      { at: t.limits.upper, name: 'upper' },
      { at: t.center, name: 'center' },
      { at: t.limits.lower, name: 'lower' },
    ],
    width: Math.min(view.columns, 100),
  });
}

function plainPoints(t: TrendResult): (readonly [number, number])[] {
  return t.points.map(p => [p.index, p.value] as const);
}

function limits(t: TrendResult, view: View): string {
  const unit = t.unit === null ? '' : ` ${unitSign(t.unit)}`;
  const number = (value: number) => `${numberText(value, 4)}${unit}`;
  return pairsText(
    [
      ['center', number(t.center)],
      ['limits', `${numberText(t.limits.lower, 4)} to ${number(t.limits.upper)}`],
      ['sigma', `${number(t.sigma)}; all readings together ${number(t.overall_sd)}`],
      ['scatter', `${number(t.range.center)}, limits ${numberText(t.range.lower, 4)} to ${number(t.range.upper)}`],
      ['readings', `${t.readings} in ${t.points.length} points${t.lambda === null ? '' : `, lambda ${t.lambda}`}`],
      ['rules', t.rules.length === 0 ? 'none' : t.rules.join(', ')],
      [
        'by chance',
        t.rules.length === 0
          ? null
          : `${numberText(t.false_signal_pct, 2)} % of steady processes show a signal in so many points`,
      ],
    ],
    view,
  );
}

const SHOWN = 20;

function signals(t: TrendResult, view: View): string {
  const fired = t.points.filter(p => p.rules.length > 0);
  if (fired.length === 0) {
    const quiet = quietVerdict(t);
    return quiet === 'No rule fires.' ? view.style.good(quiet) : (quiet ?? '');
  }
  const row = (p: TrendPoint) => [
    String(p.index),
    p.label,
    numberText(p.value, 4),
    `${numberText(p.lower, 4)} to ${numberText(p.upper, 4)}`,
    p.rules.join(', '),
  ];
  const columns = [
    { head: 'point', align: 'right' as const },
    { head: 'label' },
    { head: 'value', align: 'right' as const },
    { head: 'limits' },
    { head: 'rules' },
  ];
  const table = tableText(columns, fired.slice(0, SHOWN).map(row), view);
  return fired.length > SHOWN ? `${table}\n(${fired.length - SHOWN} more; --json has all)` : table;
}

function capability({ capability: c }: TrendResult, view: View): string {
  if (c === null) return '';
  const interval = (i: readonly [number, number] | null) =>
    i === null ? NONE : `${numberText(i[0])} to ${numberText(i[1])}`;
  const rows = [
    ['Cp', numberText(c.cp), interval(c.intervals.cp)],
    ['Cpk', numberText(c.cpk), interval(c.intervals.cpk)],
    ['Pp', numberText(c.pp), interval(c.intervals.pp)],
    ['Ppk', numberText(c.ppk), interval(c.intervals.ppk)],
  ];
  return tableText([{ head: 'capability' }, { head: 'value', align: 'right' }, { head: '95 % interval' }], rows, view);
}
