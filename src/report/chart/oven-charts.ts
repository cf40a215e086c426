import type { OvenResult } from '../../analysis/oven/oven.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { settingText } from '../words/number-text.ts';
import type { Rule, Series } from './chart-spec.ts';
import type { Drawing } from './drawing.ts';
import { lineChart } from './line-chart.ts';

const SIZE = { width: 170, height: 90 };

/** Oven and glass transition over the time, and the conversion beneath, of the first shot; each names what it is of. */
export function ovenCharts(oven: OvenResult, title: string, measure?: TextMeasure): Drawing[] {
  const line = (name: string, of: (point: OvenResult['course'][number]) => number | null): Series => ({
    name,
    points: oven.course.map(point => [point.min, of(point)]),
    marker: 'none',
  });
  const x = { label: 'time min', min: 0 };
  const gel: Rule[] = oven.gel_min === null ? [] : [{ axis: 'x', at: oven.gel_min, name: 'gel', dash: 'dotted' }];
  const required: Rule[] =
    oven.required_glass_C === null
      ? []
      : [{ axis: 'y', at: oven.required_glass_C, name: 'required', dash: 'dash-dot' }];
  const words = [`Of a connector shot ${settingText(oven.age_min)} min after mixing.`];
  const glass = oven.glass_end_C === null ? [] : [line('glass transition', ({ glass_C }) => glass_C)];
  return [
    lineChart(
      {
        title,
        ...{ x, y: { label: 'temperature °C' }, rules: [...gel, ...required], words },
        series: [line('oven', ({ temperature_C }) => temperature_C), ...glass],
      },
      SIZE,
      measure,
    ),
    lineChart(
      {
        title: `${title}, conversion`,
        ...{ x, y: { label: 'conversion', min: 0, max: 1 }, words },
        rules: [...gel, { axis: 'y', at: oven.gel_conversion, name: 'gel point', dash: 'dotted' }],
        series: [line('conversion', ({ conversion }) => conversion)],
      },
      SIZE,
      measure,
    ),
  ];
}
