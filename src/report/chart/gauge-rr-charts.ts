import type { GaugeRrInput, GaugeRrResult } from '../../analysis/trend/gauge-rr.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { numberText } from '../words/number-text.ts';
import { barChart } from './bar-chart.ts';
import type { Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';

export interface GaugeRrPicture {
  readonly input: GaugeRrInput;
  /** Of which readings it is. */
  readonly title: string;
  readonly measure?: TextMeasure | undefined;
}

/** Every reading by part, apart by operator, and the shares of the study variation. */
export function gaugeRrCharts(study: GaugeRrResult, { input, title, measure }: GaugeRrPicture): Drawing[] {
  const parts = [...new Set(input.readings.map(r => r.part))];
  const operators = [...new Set(input.readings.map(r => r.operator))];
  const unit = study.unit === null ? '' : ` ${study.unit}`;
  // Operators stand beside each other at a part, so that equal readings do not hide one another.
  const shift = (k: number) => ((k - (operators.length - 1) / 2) * 0.5) / Math.max(1, operators.length);
  const series = operators.map(
    (operator, k): Series => ({
      name: operator,
      dash: 'none',
      points: input.readings
        .filter(r => r.operator === operator)
        .map(r => [parts.indexOf(r.part) + shift(k), r.value] as const),
    }),
  );
  const readings = lineChart(
    {
      title: `${title}, by part and operator`,
      x: { label: 'part', names: parts, min: -0.5, max: parts.length - 0.5 },
      y: { label: `reading${unit}` },
      series,
    },
    { width: 170, height: 95 },
    measure,
  );
  return [readings, ...shares(study, `${title}, share of the study variation`, measure)];
}

function shares(study: GaugeRrResult, title: string, measure?: TextMeasure): Drawing[] {
  const pct = study.study_pct;
  if (pct === null) return [];
  const shown: readonly (readonly [string, number])[] = [
    ['gauge, both', pct.gauge_rr],
    ['repeatability', pct.repeatability],
    ['reproducibility', pct.reproducibility],
    ['parts', pct.part],
  ];
  const bars = shown.map(([name, value]) => ({ name, value, text: numberText(value) }));
  return [barChart({ title, label: '% of the study variation', bars }, 170, measure)];
}
