import { axisScale } from '../chart/axis-scale.ts';
import { dashOf, WEIGHT } from '../chart/strokes.ts';
import type { Block, Mark, PathCommand } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import { TYPE, text } from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';

export interface CardChart {
  /** What stands over the plot: the upright axis with its unit. */
  readonly title: string;
  readonly xLabel: string;
  readonly alt: string;
  readonly lines: readonly {
    /** Written into the title line, after a sample; '' for none. */
    readonly name: string;
    readonly dash: 'solid' | 'dotted';
    /** Level until the next point. */
    readonly steps?: boolean;
    readonly points: readonly (readonly [number, number])[];
  }[];
  /** A level line with its figure. */
  readonly limit?: { readonly at: number; readonly name: string };
}

export interface ChartBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

/** An axis reaches at least so far from its middle [-]: what stays the same is to look level. */
const SPAN = 0.05;

/** A small chart for a corner of a page [mm]: title line, plot, ticks with the name of the level axis. */
export function cardChart(chart: CardChart, box: ChartBox, measure: TextMeasure): Block {
  const right = box.x + box.width - 2;
  const top = box.y + 6;
  const bottom = box.y + box.height - 8;
  const all = chart.lines.flatMap(l => l.points);
  const limit = chart.limit === undefined ? [] : [chart.limit.at];
  const ys = [...all.map(p => p[1]), ...limit];
  const middle = (Math.min(...ys) + Math.max(...ys)) / 2;
  const y = axisScale({ label: chart.title, min: middle * (1 - SPAN), max: middle * (1 + SPAN) }, ys, bottom, top, 4);
  const widest = Math.max(...y.ticks.map(t => measure(t.label, 'regular', TYPE.small)));
  const left = box.x + widest + 2.4;
  const xs = all.map(p => p[0]);
  const x = axisScale({ label: chart.xLabel }, xs, left, right, 6);
  const marks: Mark[] = [
    line(left, top, left, bottom),
    line(left, bottom, right, bottom),
    ...y.ticks.flatMap((t): Mark[] => [
      line(left - 1, y.place(t.value), left, y.place(t.value)),
      text(left - 1.6, y.place(t.value) + 0.8, t.label, TYPE.small, { align: 'right' }),
    ]),
    ...x.ticks.flatMap((t): Mark[] => [
      line(x.place(t.value), bottom, x.place(t.value), bottom + 1),
      text(x.place(t.value), bottom + 3.6, t.label, TYPE.small, { align: 'center' }),
    ]),
    text(right, bottom + 6.8, chart.xLabel, TYPE.label, { align: 'right' }),
    ...titleMarks(chart, box, measure),
  ];
  if (chart.limit !== undefined) {
    const at = y.place(chart.limit.at);
    const name = fitText(chart.limit.name, (right - left) / 2, { font: 'regular', size: TYPE.small }, measure);
    marks.push({ kind: 'line', x1: left, y1: at, x2: right, y2: at, width: WEIGHT.rule, ...dashOf('dashed') });
    marks.push(text(left + 1.5, at + 3, name, TYPE.small));
  }
  for (const series of chart.lines) {
    const commands = series.points.flatMap(([px, py], i): PathCommand[] => {
      const [atX, atY] = [x.place(px), y.place(py)];
      if (i === 0) return [['M', atX, atY]];
      return series.steps === true
        ? [
            ['L', atX, y.place(series.points[i - 1]![1])],
            ['L', atX, atY],
          ]
        : [['L', atX, atY]];
    });
    if (commands.length > 1) marks.push({ kind: 'path', commands, width: WEIGHT.data, ...dashOf(series.dash) });
  }
  return { tag: 'Figure', alt: chart.alt, marks };
}

function titleMarks({ title, lines }: CardChart, box: ChartBox, measure: TextMeasure): Mark[] {
  const marks: Mark[] = [text(box.x, box.y + 3, title, TYPE.label, { font: 'medium' })];
  let x = box.x + measure(title, 'medium', TYPE.label) + 4;
  for (const { name, dash } of lines) {
    if (name === '') continue;
    marks.push({ kind: 'line', x1: x, y1: box.y + 2, x2: x + 7, y2: box.y + 2, width: WEIGHT.data, ...dashOf(dash) });
    marks.push(text(x + 8, box.y + 3, name, TYPE.label));
    x += 8 + measure(name, 'regular', TYPE.label) + 3;
  }
  return marks;
}

function line(x1: number, y1: number, x2: number, y2: number): Mark {
  return { kind: 'line', x1, y1, x2, y2, width: WEIGHT.axis };
}
