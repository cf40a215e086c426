import type { CavityView, ViewPiece } from '../../analysis/cavity/cavity-view.ts';
import { CHART_TYPE } from '../chart/frame.ts';
import { hatch, WEIGHT } from '../chart/strokes.ts';
import type { Mark, PathCommand } from '../page/marks.ts';
import { fitText } from '../page/set-text.ts';
import type { TextMeasure } from '../page/text-measure.ts';

/** Where a section is drawn: lengths of the connector in mm, of the paper in mm. */
export interface Canvas {
  /** First and last place that is drawn [mm behind the end face]. */
  readonly from: number;
  readonly to: number;
  /** Place on the paper of a place behind the end face. */
  readonly x: (mm: number) => number;
  readonly scale: number;
  /** Height of the axis on the paper, and from it to the outside of the wall. */
  readonly axis: number;
  readonly half: number;
  /** Right edge of what may be written on. */
  readonly paper: number;
  readonly measure: TextMeasure;
}

type Point = readonly [number, number];

function polygon(points: readonly Point[], look: { width: number; fill?: 'black' | 'white' }): Mark {
  const commands: PathCommand[] = points.map(([x, y], i) => [i === 0 ? 'M' : 'L', x, y]);
  return { kind: 'path', commands: [...commands, ['Z']], ...look };
}

/** The cut wall of the connector, from the end face to the rear of the cavity, with a chamfer around the flat of the face. */
export function body(c: Canvas, cavity: readonly ViewPiece[], face: number | null = null): Mark[] {
  const [left, right] = [c.x(0), c.x(cavity.at(-1)!.to)];
  const top = c.axis - c.half;
  const box = { x: left, y: top, width: right - left, height: 2 * c.half };
  const cut = face === null ? 0 : Math.max(0, Math.min(c.half - (face / 2) * c.scale, (right - left) / 4));
  const corner = (y: number, way: 1 | -1): Mark =>
    polygon(
      [
        [left - 0.3, y - way * 0.3],
        [left + cut, y - way * 0.3],
        [left - 0.3, y + way * cut],
      ],
      { width: 0, fill: 'white' },
    );
  const outline: Point[] = [
    [left, top + cut],
    [left + cut, top],
    [right, top],
    [right, top + 2 * c.half],
    [left + cut, top + 2 * c.half],
    [left, top + 2 * c.half - cut],
  ];
  const corners = cut > 0 ? [corner(top, 1), corner(top + 2 * c.half, -1)] : [];
  return [...hatch(box, 2.2), ...corners, polygon(outline, { width: WEIGHT.axis })];
}

/** Radius of a piece at a place, on paper; what is thicker than the connector ends a little beyond its wall. */
function drawnRadius(c: Canvas, { from, to, front, rear }: ViewPiece, at: number): number {
  return Math.min(((front + ((rear - front) * (at - from)) / (to - from)) / 2) * c.scale, c.half + 1);
}

/** Upper and lower line of pieces one behind the other, of what lies from one place to another, beside the axis by an offset. */
function outlineOf(
  c: Canvas,
  pieces: readonly ViewPiece[],
  { from, to }: { from: number; to: number },
  offset: number,
): Point[] {
  const middle = c.axis + offset * c.scale;
  const upper = pieces.flatMap((p): Point[] => {
    const [a, b] = [Math.max(p.from, from), Math.min(p.to, to)];
    if (b <= a) return [];
    return [a, b].map((at): Point => [c.x(at), middle - drawnRadius(c, p, at)]);
  });
  return [...upper, ...upper.toReversed().map(([x, y]): Point => [x, 2 * middle - y])];
}

/** Pieces as an opening in the wall, as what is filled with resin, or as a solid thing in front of all else. */
export function profile(
  c: Canvas,
  pieces: readonly ViewPiece[],
  look: 'outline' | 'resin' | 'solid',
  part: { from: number; to: number } = c,
): Mark[] {
  return runsOf(pieces).flatMap(run =>
    run[0]!.offsets.flatMap(offset => {
      const points = outlineOf(c, run, part, offset);
      if (points.length === 0) return [];
      if (look === 'resin') return [polygon(points, { width: 0, fill: 'black' })];
      const shape = polygon(points, { width: look === 'solid' ? 0.18 : WEIGHT.axis, fill: 'white' });
      return look === 'solid' && run.at(-1)!.to > c.to ? [shape, ...broken(c, run, offset)] : [shape];
    }),
  );
}

/** Pieces one behind the other that are rows of the same places, the rearmost first: what opens into a chamber is drawn over it. */
function runsOf(pieces: readonly ViewPiece[]): ViewPiece[][] {
  const runs: ViewPiece[][] = [];
  for (const piece of pieces) {
    const before = runs[0]?.[0]?.offsets;
    const same = before?.length === piece.offsets.length && before.every((offset, i) => offset === piece.offsets[i]);
    if (same) runs[0]!.push(piece);
    else runs.unshift([piece]);
  }
  return runs;
}

/** What goes on beyond the picture ends in a jagged line. */
function broken(c: Canvas, pieces: readonly ViewPiece[], offset = 0): Mark[] {
  const at = pieces.find(p => p.to > c.to)!;
  const radius = drawnRadius(c, at, c.to);
  const middle = c.axis + offset * c.scale;
  const [x, top, bottom] = [c.x(c.to), middle - radius, middle + radius];
  const steps = Math.max(2, 2 * Math.round(radius / 1.2));
  const jagged = Array.from({ length: steps + 1 }, (_, i): Point => {
    const side = i === 0 || i === steps ? 0 : i % 2 === 1 ? 0.8 : -0.8;
    return [x + side, top + ((bottom - top) * i) / steps];
  });
  const end: PathCommand[] = jagged.map(([px, py], i) => [i === 0 ? 'M' : 'L', px, py]);
  const white = polygon([...jagged, [x + 1.2, bottom + 0.2], [x + 1.2, top - 0.2]], { width: 0, fill: 'white' });
  return [white, { kind: 'path', commands: end, width: 0.18 }];
}

/** The caps of beads in front of the end face, one for each bore: their diameter [mm], the angle at which they meet the face [rad]. */
export function beads(c: Canvas, { offsets }: ViewPiece, diameter: number, angle: number): Mark[] {
  const radius = diameter / 2 / Math.sin(angle);
  return offsets.map(offset => {
    const middle = c.axis + offset * c.scale;
    const points = Array.from({ length: 33 }, (_, i): Point => {
      const phi = -angle + (2 * angle * i) / 32;
      return [c.x(-radius * (Math.cos(phi) - Math.cos(angle))), middle + radius * Math.sin(phi) * c.scale];
    });
    return polygon(points, { width: 0, fill: 'black' });
  });
}

/** A needle with resin in it, and its hub where that is in the picture. */
export function seatedNeedle(c: Canvas, { outside, bore, hub }: NonNullable<CavityView['needle']>): Mark[] {
  const until = { from: c.from, to: Math.min(c.to, hub) };
  const inside = bore === null ? [] : profile(c, bore, 'resin', until);
  const tube = [...profile(c, outside, 'solid', until), ...inside];
  if (hub > c.to) return [...tube, ...broken(c, outside)];
  const half = Math.min(c.half, (Math.max(...outside.map(p => p.rear)) / 2) * c.scale + 2.4);
  const box = { x: c.x(hub), y: c.axis - half, boxWidth: Math.max(1.5, c.x(c.to) - c.x(hub)), boxHeight: 2 * half };
  return [...tube, { kind: 'box', ...box, width: WEIGHT.data, fill: 'white' }];
}

/** A length from the end face, over the wall, with its ends marked on the wall. */
export function span(c: Canvas, to: number, words: string): Mark[] {
  const size = CHART_TYPE.tick;
  const y = c.axis - c.half - 2.2;
  const [a, b] = [c.x(0), c.x(to)];
  const line = (x1: number, y1: number, x2: number, y2: number): Mark => ({ kind: 'line', x1, y1, x2, y2, width: 0.2 });
  const width = c.measure(words, 'medium', size);
  const inside = b - a > width + 6;
  const x = inside ? (a + b) / 2 : b + 1.5 + width / 2;
  const half = inside ? width / 2 + 1 : 0;
  const stretch = inside ? [line(a, y, x - half, y), line(x + half, y, b, y)] : [line(a, y, b, y)];
  const head = (at: number, way: 1 | -1): Mark =>
    polygon(
      [
        [at, y],
        [at + way * 1.4, y - 0.45],
        [at + way * 1.4, y + 0.45],
      ],
      { width: 0, fill: 'black' },
    );
  const heads = b - a > 3 ? [head(a, 1), head(b, -1)] : [];
  const drop = (at: number) => line(at, y - 1.2, at, c.axis - c.half);
  const name: Mark = { kind: 'text', x, y: y + 0.85, text: words, align: 'center', font: 'medium', size };
  return [...stretch, ...heads, drop(a), drop(b), name];
}

/** Parts on a line beneath the wall, each named in the first row in which its name touches no other. */
export function ruler(
  c: Canvas,
  parts: readonly { readonly from: number; readonly to: number; readonly words: string }[],
): { marks: Mark[]; height: number } {
  if (parts.length === 0) return { marks: [], height: 0 };
  const size = CHART_TYPE.tick;
  const y = c.axis + c.half + 2;
  const line = (x1: number, y1: number, x2: number, y2: number): Mark => ({ kind: 'line', x1, y1, x2, y2, width: 0.2 });
  const marks: Mark[] = [];
  const rows: [number, number][][] = [];
  const [left, right] = [c.x(c.from), c.x(c.to)];
  for (const part of parts) {
    const [a, b] = [c.x(Math.max(part.from, c.from)), c.x(Math.min(part.to, c.to))];
    if (b <= a) continue;
    marks.push(line(a, y, b, y), line(a, y - 0.9, a, y + 0.9), line(b, y - 0.9, b, y + 0.9));
    const words = fitText(part.words, c.paper - left, { font: 'regular', size }, c.measure);
    const width = c.measure(words, 'regular', size);
    const start = Math.max(left, Math.min((a + b) / 2 - width / 2, right - width));
    const free = rows.findIndex(taken => taken.every(([from, to]) => start + width < from - 1.5 || start > to + 1.5));
    const row = free === -1 ? rows.length : free;
    rows[row] = [...(rows[row] ?? []), [start, start + width]];
    marks.push({ kind: 'text', x: start, y: y + 3.6 + row * 3, text: words, font: 'regular', size });
    if (row > 0) marks.push(line((a + b) / 2, y, (a + b) / 2, y + 1.2 + row * 3));
  }
  return { marks, height: 2 + 4.2 + (rows.length - 1) * 3 };
}
