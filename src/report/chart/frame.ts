import type { Mark, TextMark } from '../page/marks.ts';
import { fitText, wrapText } from '../page/set-text.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { type AxisScale, axisScale } from './axis-scale.ts';
import type { ChartSpec, Rule } from './chart-spec.ts';
import { CHART_EDGE, type DrawingSize } from './drawing.ts';
import { dashOf, hatch, WEIGHT } from './strokes.ts';

/** Sizes of type in charts [pt]. */
export const CHART_TYPE = { title: 10, label: 7.5, tick: 7 } as const;

export interface Plot {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
  readonly x: AxisScale;
  readonly y: AxisScale;
}

/** One entry of the key: marks for a sample at (x, y) [mm], sample 9 mm wide. */
export interface KeyEntry {
  readonly name: string;
  readonly sample: (x: number, y: number) => Mark[];
}

export interface FrameInput {
  readonly spec: ChartSpec;
  readonly size: DrawingSize;
  readonly xValues: readonly number[];
  readonly yValues: readonly number[];
  readonly key: readonly KeyEntry[];
  readonly measure: TextMeasure;
}

const EDGE = CHART_EDGE;

/** The title of a chart that has no room for a second line, cut to its width [mm]. */
export function titleMark(title: string, width: number, measure: TextMeasure): TextMark {
  const style = { font: 'semibold', size: CHART_TYPE.title } as const;
  return { kind: 'text', x: EDGE, y: EDGE + 3.4, text: fitText(title, width - 2 * EDGE, style, measure), ...style };
}

/**
 * Everything of a chart but its data: title, key, axes with ticks, bands and rules with their names at the right.
 * Marks under the data and over it come apart, since the data stand between them.
 */
export function frame(input: FrameInput): { plot: Plot; under: Mark[]; over: Mark[] } {
  const { spec, size, measure } = input;
  const title = wrapText(
    spec.title,
    size.width - 2 * EDGE,
    { font: 'semibold', size: CHART_TYPE.title },
    measure,
    2,
  ).map(
    (line, i): TextMark => ({
      kind: 'text',
      x: EDGE,
      y: EDGE + 3.4 + i * 4.4,
      text: line,
      font: 'semibold',
      size: CHART_TYPE.title,
    }),
  );
  const key = keyMarks(input, EDGE + 2.6 + title.length * 4.4);
  const top = key.end + (key.marks.length > 0 ? 8 : 6.2);
  const words = wordsOf(input);
  const bottom = size.height - EDGE - 9.6 - (words.length === 0 ? 0 : words.length * WORDS_LEADING + 1.6);
  const yValues = [...input.yValues, ...placesOf(spec, 'y')];
  const xValues = [...input.xValues, ...placesOf(spec, 'x')];
  const y = axisScale(spec.y, yValues, bottom, top, Math.max(2, Math.round((bottom - top) / 11)));
  const widest = (labels: readonly string[]) => Math.max(0, ...labels.map(l => measure(l, 'regular', CHART_TYPE.tick)));
  const left = EDGE + Math.min(widest(y.ticks.map(t => t.label)), size.width / 4) + 2.6;
  const named = [...(spec.rules ?? []), ...bandNames(spec)].filter(r => r.axis === 'y' && r.name !== undefined);
  const names = Math.min(widest(named.map(r => r.name!)), size.width / 4);
  const right = size.width - EDGE - (named.length > 0 ? names + 2 : 3);
  const x = axisScale(spec.x, xValues, left, right, Math.max(2, Math.round((right - left) / 18)));
  const plot: Plot = { left, right, top, bottom, x, y };
  return {
    plot,
    under: [...title, ...key.marks, ...bandMarks(spec, plot)],
    over: [
      ...axes(spec, plot, size, measure),
      ...ruleMarks(spec, plot, named, names, measure),
      ...words.map((line, i): TextMark => {
        const y = size.height - EDGE - 0.8 - (words.length - 1 - i) * WORDS_LEADING;
        return { kind: 'text', x: EDGE, y, text: line, font: 'regular', size: CHART_TYPE.label };
      }),
    ],
  };
}

const WORDS_LEADING = 3.5; // [mm]

/** The sentences beneath the chart, each from a new line on. */
function wordsOf({ spec, size, measure }: FrameInput): string[] {
  const style = { font: 'regular', size: CHART_TYPE.label } as const;
  return (spec.words ?? []).flatMap(text => wrapText(text, size.width - 2 * EDGE, style, measure));
}

function placesOf(spec: ChartSpec, axis: 'x' | 'y'): number[] {
  return [
    ...(spec.rules ?? []).filter(r => r.axis === axis).map(r => r.at),
    ...(spec.bands ?? []).filter(b => b.axis === axis).flatMap(b => [b.from, b.to]),
  ];
}

function bandNames(spec: ChartSpec): Rule[] {
  return (spec.bands ?? []).map(b => ({
    axis: b.axis,
    at: (b.from + b.to) / 2,
    ...(b.name !== undefined && { name: b.name }),
  }));
}

/** Key entries in rows across the drawing; an entry that does not fit starts the next row. */
function keyMarks(input: FrameInput, y: number): { marks: Mark[]; end: number } {
  if (input.key.length < 2) return { marks: [], end: y - 2 };
  const marks: Mark[] = [];
  const widest = input.size.width - 2 * EDGE;
  let x = EDGE;
  let row = y + 2;
  for (const entry of input.key) {
    const name = fitText(entry.name, widest - 11, { font: 'regular', size: CHART_TYPE.label }, input.measure);
    const width = 11 + input.measure(name, 'regular', CHART_TYPE.label);
    if (x > EDGE && x + width > EDGE + widest) {
      x = EDGE;
      row += 4;
    }
    marks.push(...entry.sample(x, row - 0.95));
    marks.push({ kind: 'text', x: x + 11, y: row, text: name, font: 'regular', size: CHART_TYPE.label });
    x += width + 6;
  }
  return { marks, end: row };
}

function axes(spec: ChartSpec, plot: Plot, size: DrawingSize, measure: TextMeasure): Mark[] {
  const line = (x1: number, y1: number, x2: number, y2: number, width: number): Mark => ({
    kind: 'line',
    x1,
    y1,
    x2,
    y2,
    width,
  });
  const small = { font: 'regular', size: CHART_TYPE.tick } as const;
  const marks: Mark[] = [
    line(plot.left, plot.bottom, plot.right, plot.bottom, WEIGHT.axis),
    line(plot.left, plot.top, plot.left, plot.bottom, WEIGHT.axis),
  ];
  for (const t of plot.y.ticks) {
    const at = plot.y.place(t.value);
    marks.push(line(plot.left - 1.2, at, plot.left, at, WEIGHT.axis));
    const label = fitText(t.label, size.width / 4, small, measure);
    marks.push({ kind: 'text', x: plot.left - 2, y: at + 0.9, text: label, align: 'right', ...small });
  }
  let free = Number.NEGATIVE_INFINITY; // right end of the last label, so that long ones skip rather than overlap
  for (const t of plot.x.ticks) {
    const at = plot.x.place(t.value);
    marks.push(line(at, plot.bottom, at, plot.bottom + 1.2, WEIGHT.axis));
    const half = measure(t.label, small.font, small.size) / 2;
    if (at - half < free || at + half > size.width) continue;
    marks.push({ kind: 'text', x: at, y: plot.bottom + 4.2, text: t.label, align: 'center', ...small });
    free = at + half + 1;
  }
  const style = { font: 'medium', size: CHART_TYPE.label } as const;
  const wide = size.width - 2 * EDGE;
  marks.push({ kind: 'text', x: EDGE, y: plot.top - 3.2, text: fitText(spec.y.label, wide, style, measure), ...style });
  const label = fitText(spec.x.label, plot.right - EDGE, style, measure);
  marks.push({ kind: 'text', x: plot.right, y: plot.bottom + 8.6, text: label, align: 'right', ...style });
  return marks;
}

function bandMarks(spec: ChartSpec, plot: Plot): Mark[] {
  return (spec.bands ?? []).flatMap(band => {
    const scale = band.axis === 'x' ? plot.x : plot.y;
    const a = Math.min(scale.place(band.from), scale.place(band.to));
    const b = Math.max(scale.place(band.from), scale.place(band.to));
    return band.axis === 'x'
      ? hatch({ x: a, y: plot.top, width: b - a, height: plot.bottom - plot.top })
      : hatch({ x: plot.left, y: a, width: plot.right - plot.left, height: b - a });
  });
}

/** Rules across the plot; names of level ones stand at the right, pushed apart where they would overlap. */
function ruleMarks(spec: ChartSpec, plot: Plot, named: readonly Rule[], names: number, measure: TextMeasure): Mark[] {
  const small = { font: 'regular', size: CHART_TYPE.tick } as const;
  const marks: Mark[] = [];
  for (const r of spec.rules ?? []) {
    const at = (r.axis === 'x' ? plot.x : plot.y).place(r.at);
    const ends =
      r.axis === 'x'
        ? { x1: at, y1: plot.top, x2: at, y2: plot.bottom }
        : { x1: plot.left, y1: at, x2: plot.right, y2: at };
    marks.push({ kind: 'line', ...ends, width: WEIGHT.rule, ...dashOf(r.dash ?? 'dashed') });
  }
  const heights = spread(
    named.map(r => plot.y.place(r.at) + 0.9),
    3,
    plot.bottom + 0.9, // further down stand the labels of the other axis
  );
  named.forEach((r, i) => {
    marks.push({
      kind: 'text',
      x: plot.right + 1.5,
      y: heights[i]!,
      text: fitText(r.name!, names + 0.1, small, measure),
      ...small,
    });
  });
  marks.push(...uprightNames(spec, plot, measure));
  return marks;
}

/** Names of upright rules and bands over the plot, each in the first row in which it touches no other. */
function uprightNames(spec: ChartSpec, plot: Plot, measure: TextMeasure): Mark[] {
  const small = { font: 'regular', size: CHART_TYPE.tick } as const;
  const named = [...(spec.rules ?? []), ...bandNames(spec)].filter(r => r.axis === 'x' && r.name !== undefined);
  const rows: [number, number][][] = [];
  return named.map((r): Mark => {
    const name = fitText(r.name!, (plot.right - plot.left) / 2, small, measure);
    const width = measure(name, small.font, small.size);
    const x = Math.min(plot.x.place(r.at) + 0.8, plot.right - width);
    const free = rows.findIndex(taken => taken.every(([from, to]) => x + width < from - 1 || x > to + 1));
    const row = free === -1 ? rows.length : free;
    rows[row] = [...(rows[row] ?? []), [x, x + width]];
    return { kind: 'text', x, y: plot.top - 0.6 + row * 3, text: name, ...small };
  });
}

/**
 * The heights moved as little as need be so that neighbours are at least `gap` apart, in their own order, and none stands
 * beyond `lowest`.
 */
export function spread(heights: readonly number[], gap: number, lowest = Number.POSITIVE_INFINITY): number[] {
  const order = heights.map((_, i) => i).sort((a, b) => heights[a]! - heights[b]! || a - b);
  // pool neighbours that overlap and centre each pool on its mean, as in isotonic regression
  const pools: { members: number[]; start: number }[] = [];
  for (const i of order) {
    let pool = { members: [i], start: heights[i]! };
    let last = pools.at(-1);
    while (last !== undefined && last.start + last.members.length * gap > pool.start) {
      const members = [...last.members, ...pool.members];
      const start = members.reduce((sum, m, k) => sum + heights[m]! - k * gap, 0) / members.length;
      pool = { members, start };
      pools.pop();
      last = pools.at(-1);
    }
    pools.push(pool);
  }
  const out = [...heights];
  for (const pool of pools) {
    for (const [k, m] of pool.members.entries()) out[m] = pool.start + k * gap;
  }
  let limit = lowest;
  for (const i of order.toReversed()) {
    out[i] = Math.min(out[i]!, limit);
    limit = out[i]! - gap;
  }
  return out;
}
