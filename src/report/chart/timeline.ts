import type { Mark } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import { approximateMeasure, type TextMeasure } from '../page/text-measure.ts';
import { axisScale } from './axis-scale.ts';
import type { Axis } from './chart-spec.ts';
import { CHART_EDGE, type Drawing } from './drawing.ts';
import { CHART_TYPE, titleMark } from './frame.ts';
import { crossHatch, hatch, WEIGHT } from './strokes.ts';

export interface TimelineSpan {
  readonly from: number;
  readonly to: number;
  /** Written into the span where it fits, else left out. */
  readonly label?: string;
  /** Plain outline (default), slanted lines, lines crossed, or solid black. */
  readonly look?: 'outline' | 'hatched' | 'crossed' | 'black';
}

export interface TimelineSpec {
  readonly title: string;
  /** The axis of time. */
  readonly x: Axis;
  readonly rows: readonly { readonly name: string; readonly spans: readonly TimelineSpan[] }[];
  /** What the looks of spans mean. */
  readonly key?: readonly { readonly look: NonNullable<TimelineSpan['look']>; readonly name: string }[];
  /** Upright lines through all rows. */
  readonly events?: readonly { readonly at: number; readonly label: string }[];
}

const EDGE = CHART_EDGE;
const PITCH = 8; // from row to row [mm]

/** What lasts from when to when, one row a thing, as high as its rows need [mm]. */
export function timeline(spec: TimelineSpec, width = 170, measure: TextMeasure = approximateMeasure): Drawing {
  const style = { font: 'regular', size: CHART_TYPE.label } as const;
  const small = { font: 'regular', size: CHART_TYPE.tick } as const;
  const names = Math.min(Math.max(0, ...spec.rows.map(r => measure(r.name, style.font, style.size))), width * 0.35);
  const left = EDGE + names + 3;
  const right = width - EDGE - 4;
  const events = spec.events ?? [];
  const key = keyMarks(spec.key ?? [], EDGE + 8.4, measure);
  const top = EDGE + 7 + (key.length > 0 ? 5 : 0) + events.length * 3.4;
  const bottom = top + spec.rows.length * PITCH;
  const values = [...spec.rows.flatMap(r => r.spans.flatMap(s => [s.from, s.to])), ...events.map(e => e.at)];
  const x = axisScale(spec.x, values, left, right, 8);
  const marks: Mark[] = [titleMark(spec.title, width, measure), ...key];
  spec.rows.forEach((row, i) => {
    const y = top + i * PITCH + 1.5;
    marks.push({ kind: 'text', x: EDGE, y: y + 3.4, text: fitText(row.name, names + 0.1, style, measure), ...style });
    for (const span of row.spans) marks.push(...spanMarks(span, x.place(span.from), x.place(span.to), y, measure));
  });
  marks.push({ kind: 'line', x1: left, y1: bottom, x2: right, y2: bottom, width: WEIGHT.axis });
  for (const t of x.ticks) {
    const at = x.place(t.value);
    marks.push({ kind: 'line', x1: at, y1: bottom, x2: at, y2: bottom + 1.2, width: WEIGHT.axis });
    marks.push({ kind: 'text', x: at, y: bottom + 4.2, text: t.label, align: 'center', ...small });
  }
  events.forEach((e, i) => {
    const at = x.place(e.at);
    const y = EDGE + 7.4 + (key.length > 0 ? 5 : 0) + i * 3.4; // each label on its own line, so that none can hide another
    const w = measure(e.label, small.font, small.size);
    marks.push({ kind: 'line', x1: at, y1: y + 0.6, x2: at, y2: bottom, width: WEIGHT.rule, dash: [1.2, 0.8] });
    marks.push({ kind: 'text', x: Math.max(EDGE, Math.min(at - w / 2, width - EDGE - w)), y, text: e.label, ...small });
  });
  const label = fitText(spec.x.label, right - EDGE, { font: 'medium', size: CHART_TYPE.label }, measure);
  marks.push({
    kind: 'text',
    x: right,
    y: bottom + 8.6,
    text: label,
    align: 'right',
    font: 'medium',
    size: CHART_TYPE.label,
  });
  const meaning = (span: TimelineSpan) => spec.key?.find(({ look }) => look === (span.look ?? 'outline'))?.name;
  const said = (span: TimelineSpan) => [`${span.from} to ${span.to}`, meaning(span)].filter(Boolean).join(' ');
  const alt = `${spec.title}. ${spec.rows.map(r => `${r.name}: ${r.spans.map(said).join(', ')}`).join('; ')}.`;
  return { title: spec.title, alt, width, height: bottom + 9.6 + EDGE, marks };
}

/** Samples of the looks in a row, each with its name; y is the baseline. */
function keyMarks(key: NonNullable<TimelineSpec['key']>, y: number, measure: TextMeasure): Mark[] {
  const style = { font: 'regular', size: CHART_TYPE.label } as const;
  let x = EDGE;
  return key.flatMap(({ look, name }): Mark[] => {
    const box = { x, y: y - 2.6, boxWidth: 8, boxHeight: 3.2 };
    const fill = look === 'black' ? 'black' : 'white';
    const lines = shade(look, { x, y: box.y, width: box.boxWidth, height: box.boxHeight });
    const words: Mark = { kind: 'text', x: x + 9.6, y, text: name, ...style };
    x += 9.6 + measure(name, style.font, style.size) + 6;
    return [{ kind: 'box', ...box, width: WEIGHT.axis, fill }, ...lines, words];
  });
}

/** The lines of a look across a box. */
function shade(look: TimelineSpan['look'], box: { x: number; y: number; width: number; height: number }): Mark[] {
  if (look === 'hatched') return hatch(box, 1.3);
  return look === 'crossed' ? crossHatch(box, 1) : [];
}

function spanMarks(span: TimelineSpan, x1: number, x2: number, y: number, measure: TextMeasure): Mark[] {
  const box = { x: x1, y, boxWidth: x2 - x1, boxHeight: 5 };
  if (span.look === 'black') return [{ kind: 'box', ...box, width: WEIGHT.axis, fill: 'black' }];
  const marks: Mark[] = [{ kind: 'box', ...box, width: WEIGHT.axis, fill: 'white' }];
  const lines = shade(span.look, { x: x1, y, width: x2 - x1, height: 5 });
  marks.push(...lines);
  const size = CHART_TYPE.tick;
  if (span.label !== undefined && lines.length === 0 && measure(span.label, 'regular', size) <= x2 - x1 - 1.5) {
    marks.push({
      kind: 'text',
      x: (x1 + x2) / 2,
      y: y + 3.3,
      text: span.label,
      align: 'center',
      font: 'regular',
      size,
    });
  }
  return marks;
}
