import { line } from 'd3-shape';
import type { Mark } from '../page/marks.ts';
import { approximateMeasure, type TextMeasure } from '../page/text-measure.ts';
import type { DashName, LineChartSpec, MarkerName, Series } from './chart-spec.ts';
import { DEFAULT_SIZE, type Drawing, type DrawingSize } from './drawing.ts';
import { frame, type Plot } from './frame.ts';
import { noteMarks } from './note-marks.ts';
import { PathRecorder } from './path-recorder.ts';
import { dashOf, markerAt, seriesStyle, WEIGHT } from './strokes.ts';

type Styled = Series & { readonly dash: DashName; readonly marker: MarkerName };

/**
 * Lines and points over a plane, with bands, rules and notes, as plain data [mm]. Told apart by dash and marker alone.
 * Throws: RangeError when a value cannot stand on its axis.
 */
export function lineChart(
  spec: LineChartSpec,
  size: DrawingSize = DEFAULT_SIZE,
  measure: TextMeasure = approximateMeasure,
): Drawing {
  const series = spec.series.map((s, i): Styled => ({ ...seriesStyle(i), ...s }));
  const { plot, under, over } = frame({
    spec,
    size,
    measure,
    xValues: series.flatMap(s => s.points.map(p => p[0])),
    yValues: series.flatMap(yValuesOf),
    key: series.map(s => ({ name: s.name, sample: (x, y) => sample(s, x, y) })),
  });
  const data = series.flatMap(s => [...lineMarks(s, plot), ...errorMarks(s, plot), ...pointMarks(s, plot)]);
  const notes = noteMarks(series, plot, measure);
  return { title: spec.title, alt: altText(spec), ...size, marks: [...under, ...over, ...data, ...notes] };
}

function yValuesOf(s: Series): number[] {
  const values = s.points.flatMap(p => (p[1] === null ? [] : [p[1]]));
  return [...values, ...(s.errors ?? []).flatMap(e => e ?? [])];
}

function sample(s: Styled, x: number, y: number): Mark[] {
  const stroke: Mark[] =
    s.dash === 'none' ? [] : [{ kind: 'line', x1: x, y1: y, x2: x + 9, y2: y, width: WEIGHT.data, ...dashOf(s.dash) }];
  return [...stroke, ...markerAt(s.marker, x + 4.5, y)];
}

function lineMarks(s: Styled, plot: Plot): Mark[] {
  if (s.dash === 'none') return [];
  const recorder = new PathRecorder();
  const shape = line<readonly [number, number | null]>()
    .defined(p => p[1] !== null)
    .x(p => plot.x.place(p[0]))
    .y(p => plot.y.place(p[1]!));
  shape.context(recorder as never)(s.line === 'steps' ? steps(s.points) : s.points);
  if (recorder.commands.length < 2) return [];
  return [{ kind: 'path', commands: recorder.commands, width: WEIGHT.data, ...dashOf(s.dash) }];
}

/** Level until the next point. */
function steps(points: Series['points']): [number, number | null][] {
  return points.flatMap((p, i): [number, number | null][] => {
    const next = points[i + 1];
    return next === undefined ? [[...p]] : [[...p], [next[0], p[1]]];
  });
}

function pointMarks(s: Styled, plot: Plot): Mark[] {
  return s.points.flatMap(p => (p[1] === null ? [] : markerAt(s.marker, plot.x.place(p[0]), plot.y.place(p[1]))));
}

function errorMarks(s: Styled, plot: Plot): Mark[] {
  return (s.errors ?? []).flatMap((e, i): Mark[] => {
    const p = s.points[i];
    if (e === null || p === undefined) return [];
    const x = plot.x.place(p[0]);
    const [y1, y2] = [plot.y.place(e[0]), plot.y.place(e[1])];
    const bar = (x1: number, ya: number, x2: number, yb: number): Mark => ({
      kind: 'line',
      x1,
      y1: ya,
      x2,
      y2: yb,
      width: WEIGHT.rule,
    });
    return [bar(x, y1, x, y2), bar(x - 0.8, y1, x + 0.8, y1), bar(x - 0.8, y2, x + 0.8, y2)];
  });
}

function altText(spec: LineChartSpec): string {
  const names = spec.series.map(s => `${s.name} (${s.points.length} points)`).join(', ');
  const limits = (spec.rules ?? []).filter(r => r.name !== undefined).map(r => `${r.name} at ${r.at}`);
  return `${spec.title}. ${spec.y.label} over ${spec.x.label}: ${names}.${limits.length > 0 ? ` Lines: ${limits.join(', ')}.` : ''}`;
}
