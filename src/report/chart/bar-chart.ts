import type { Mark } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import { approximateMeasure, type TextMeasure } from '../page/text-measure.ts';
import { axisScale } from './axis-scale.ts';
import { CHART_EDGE, type Drawing } from './drawing.ts';
import { CHART_TYPE, titleMark } from './frame.ts';
import { WEIGHT } from './strokes.ts';

export interface BarChartSpec {
  readonly title: string;
  /** What the bars measure, with its unit. */
  readonly label: string;
  /** Drawn from above in this order; `text` is written at the end of the bar. */
  readonly bars: readonly { readonly name: string; readonly value: number; readonly text: string }[];
}

const EDGE = CHART_EDGE;
const PITCH = 6; // from bar to bar [mm]

/** Named bars from zero to the right, such as the shares of an uncertainty; as high as its bars need [mm]. */
export function barChart(spec: BarChartSpec, width = 170, measure: TextMeasure = approximateMeasure): Drawing {
  const style = { font: 'regular', size: CHART_TYPE.label } as const;
  const widest = (texts: readonly string[]) => Math.max(0, ...texts.map(t => measure(t, style.font, style.size)));
  const names = Math.min(widest(spec.bars.map(b => b.name)), width * 0.45);
  const left = EDGE + names + 2;
  const right = width - EDGE - widest(spec.bars.map(b => b.text)) - 2;
  const top = EDGE + 11.5;
  const scale = axisScale(
    { label: spec.label, min: 0 },
    spec.bars.map(b => b.value),
    left,
    right,
    5,
  );
  const marks: Mark[] = [
    titleMark(spec.title, width, measure),
    { kind: 'text', x: EDGE, y: EDGE + 8, text: fitText(spec.label, width - 2 * EDGE, style, measure), ...style },
  ];
  spec.bars.forEach((bar, i) => {
    const y = top + i * PITCH;
    const zero = scale.place(0);
    const end = scale.place(bar.value);
    const box = { x: Math.min(zero, end), y, boxWidth: Math.abs(end - zero), boxHeight: 3.6 };
    marks.push({ kind: 'text', x: EDGE, y: y + 2.7, text: fitText(bar.name, names + 0.1, style, measure), ...style });
    if (box.boxWidth > 0) marks.push({ kind: 'box', ...box, width: 0, fill: 'black' });
    marks.push({ kind: 'text', x: Math.max(zero, end) + 1.5, y: y + 2.7, text: bar.text, ...style });
  });
  const bottom = top + spec.bars.length * PITCH;
  marks.push({
    kind: 'line',
    x1: scale.place(0),
    y1: top - 1.4,
    x2: scale.place(0),
    y2: bottom - 1,
    width: WEIGHT.axis,
  });
  const alt = `${spec.title}. ${spec.label}: ${spec.bars.map(b => `${b.name} ${b.text}`).join(', ')}.`;
  return { title: spec.title, alt, width, height: bottom + EDGE, marks };
}
