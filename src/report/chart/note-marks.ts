import type { Mark } from '../page/marks.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import type { Series } from './chart-spec.ts';
import { CHART_TYPE, type Plot } from './frame.ts';

type Point = readonly [number, number];

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

const RING = 1.9; // radius about a noted point [mm]
const HIGH = 1.9; // of letters and figures [mm]

/** Rings about the noted points, each with its letters where they hide the least: of lines, bars, markers and one another. */
export function noteMarks(series: readonly Series[], plot: Plot, measure: TextMeasure): Mark[] {
  const noted = series.flatMap(s =>
    (s.notes ?? []).flatMap(({ index, text }) => {
      const p = s.points[index];
      return p === undefined || p[1] === null ? [] : [{ x: plot.x.place(p[0]), y: plot.y.place(p[1]), text }];
    }),
  );
  if (noted.length === 0) return [];
  const ink = series.flatMap(s => inkOf(s, plot));
  const rings: Box[] = noted.map(({ x, y }) => ({ left: x - RING, right: x + RING, top: y - RING, bottom: y + RING }));
  const taken: Box[] = [];
  return noted.flatMap(({ x, y, text }, i): Mark[] => {
    const width = measure(text, 'medium', CHART_TYPE.tick);
    const cost = (box: Box) =>
      ink.filter(at => inside(at, box)).length +
      20 * [...taken, ...rings.filter((_, k) => k !== i)].filter(other => meet(box, other)).length +
      (box.left < plot.left || box.top < plot.top - 2 || box.bottom > plot.bottom ? 1000 : 0);
    const box = places(x, y, width).reduce((best, next) => (cost(next) < cost(best) ? next : best));
    taken.push(box);
    return [
      { kind: 'circle', x, y, radiusX: RING, radiusY: RING, width: 0.3 },
      { kind: 'text', x: box.left, y: box.bottom, text, font: 'medium', size: CHART_TYPE.tick },
    ];
  });
}

/** Where the letters of a point may stand, the usual place first. */
function places(x: number, y: number, width: number): Box[] {
  const at = (left: number, bottom: number): Box => ({ left, right: left + width, top: bottom - HIGH, bottom });
  const [right, left, middle] = [x + RING + 0.4, x - RING - 0.4 - width, x - width / 2];
  return [
    at(right, y - 1.3),
    at(right, y + 2.9),
    at(left, y - 1.3),
    at(left, y + 2.9),
    at(middle, y - RING - 0.7),
    at(middle, y + RING + HIGH + 0.7),
    at(right + 1.4, y + 0.8),
    at(left - 1.4, y + 0.8),
    at(middle, y - RING - 3.2),
    at(middle, y + RING + HIGH + 3.2),
  ];
}

/** Places with ink of a series: along its line, its error bars, at its points. */
function inkOf(s: Series, plot: Plot): Point[] {
  const points = s.points.flatMap((p): Point[] => (p[1] === null ? [] : [[plot.x.place(p[0]), plot.y.place(p[1])]]));
  const bars = (s.errors ?? []).flatMap((e, i): Point[] => {
    const p = s.points[i];
    return e === null || p === undefined
      ? []
      : between([plot.x.place(p[0]), plot.y.place(e[0])], [plot.x.place(p[0]), plot.y.place(e[1])]);
  });
  const line = s.dash === 'none' ? [] : points.slice(1).flatMap((p, i) => between(points[i]!, p));
  return [...points, ...bars, ...line];
}

function between([x1, y1]: Point, [x2, y2]: Point): Point[] {
  const steps = Math.max(1, Math.ceil(Math.hypot(x2 - x1, y2 - y1) / 0.6));
  return Array.from({ length: steps + 1 }, (_, i) => [x1 + ((x2 - x1) * i) / steps, y1 + ((y2 - y1) * i) / steps]);
}

function inside([x, y]: Point, box: Box): boolean {
  return x > box.left - 0.4 && x < box.right + 0.4 && y > box.top - 0.4 && y < box.bottom + 0.4;
}

function meet(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
