import { type Homography, mapped, type Point } from '../../numeric/plane/homography.ts';
import { type FittedSheet, isCovered, isVisible } from '../sheet/fit-sheet.ts';
import { brightnessAt, type Gray } from '../sheet/gray-picture.ts';
import { circlePlane, circlesOf, halfCell } from '../sheet/sheet-circles.ts';

/** What a circle without a dot looks like: the share of the paper's light that print takes away, over a square about its middle. */
export interface FreeCircle {
  /** Half a side of the square, and the step of its grid [mm]. */
  readonly reach: number;
  readonly step: number;
  readonly side: number;
  /** 0 paper to 1 black, rows from above. */
  readonly ink: Float32Array;
  /** Greatest less least ink within half a pixel: where it is not small, print that lies a little aside looks like something else. */
  readonly change: Float32Array;
  /** Brightness of the paper about each circle that is free, by its middle on the sheet [mm]. */
  readonly papers: readonly (Point & { readonly brightness: number })[];
}

/** Below a circle stand its number and a line: this much under the largest ring is free [mm]. */
const FREE_BELOW = 3;
/** Between the fields of two circles [mm]. */
const BETWEEN = 0.4;
/** Step of the grid [px]. */
const STEP = 0.5;
/** More circles than this make the mean no better. */
const MOST = 12;

/** How far from the middle of a circle a dot may reach [mm]. */
export function dotReach({ code }: Pick<FittedSheet, 'code'>): number {
  const across = halfCell(code).x * code.scaleX - BETWEEN;
  return Math.min(across, code.rings[2] / 2 + FREE_BELOW);
}

/**
 * The print of a circle, from those of the page on which nothing lies: the median of up to twelve. Null where every circle is covered.
 */
export function freeCircle(picture: Gray, sheet: FittedSheet): FreeCircle | null {
  const { code, toPicture } = sheet;
  const uncovered = circlesOf(code)
    .map(({ middle }) => ({ middle, plane: circlePlane(toPicture, code, middle) }))
    .filter(({ plane }) => isVisible(picture, plane, code) && !isCovered(picture, plane, code))
    .map(one => ({ ...one, brightness: paperAround(picture, one.plane, dotReach(sheet)).a }));
  const clear = uncovered.filter(one => one.brightness >= DARK_FIELD * brightestNear(uncovered, one.middle));
  if (clear.length === 0) return null;
  const planes = clear.slice(0, MOST).map(({ plane }) => plane);
  const reach = dotReach(sheet);
  const side = 2 * Math.ceil(reach / (STEP / sheet.pixelsPerMm)) + 1;
  const step = (2 * reach) / (side - 1);
  const papers = planes.map(plane => paperAround(picture, plane, reach));
  const ink = new Float32Array(side * side);
  const values = new Float64Array(planes.length);
  for (let r = 0; r < side; r++) {
    for (let c = 0; c < side; c++) {
      const p = { x: c * step - reach, y: r * step - reach };
      for (const [i, plane] of planes.entries()) {
        values[i] = 1 - brightnessAt(picture, mapped(plane, p)) / paperAt(papers[i]!, p);
      }
      ink[r * side + c] = Math.min(1, Math.max(0, median(values)));
    }
  }
  const brightness = clear.map(one => ({ ...one.middle, brightness: one.brightness }));
  return { reach, step, side, ink, change: changeOf(ink, side), papers: brightness };
}

function changeOf(ink: Float32Array, side: number): Float32Array {
  return ink.map((_, i) => {
    const [row, column] = [Math.floor(i / side), i % side];
    let [low, high] = [1, 0];
    for (let r = Math.max(0, row - 1); r <= Math.min(side - 1, row + 1); r++) {
      for (let c = Math.max(0, column - 1); c <= Math.min(side - 1, column + 1); c++) {
        const v = ink[r * side + c]!;
        low = Math.min(low, v);
        high = Math.max(high, v);
      }
    }
    return high - low;
  });
}

/** How fast print changes about a place; see `change`. */
export function inkChangeAt({ reach, step, side, change }: FreeCircle, { x, y }: Point): number {
  const [c, r] = [Math.round((x + reach) / step), Math.round((y + reach) / step)];
  return c < 0 || r < 0 || c >= side || r >= side ? 0 : change[r * side + c]!;
}

/** A field whose rim is so much darker than that of its neighbours is not paper there: something larger than it covers it [-]. */
export const DARK_FIELD = 0.75;
const NEIGHBOURS = 4;

/** The brightest rim among the nearest circles, the place itself included. */
function brightestNear(all: readonly { middle: Point; brightness: number }[], at: Point): number {
  const near = [...all].sort((p, q) => away(p.middle, at) - away(q.middle, at)).slice(0, NEIGHBOURS + 1);
  return Math.max(...near.map(p => p.brightness));
}

function away(p: Point, q: Point): number {
  return Math.hypot(p.x - q.x, p.y - q.y);
}

/** Share of the light that print takes away at a place about the middle of a circle. */
export function inkAt({ reach, step, side, ink }: FreeCircle, { x, y }: Point): number {
  const [c, r] = [(x + reach) / step, (y + reach) / step];
  const [left, top] = [Math.floor(c), Math.floor(r)];
  if (left < 0 || top < 0 || left >= side - 1 || top >= side - 1) return 0;
  const [fx, fy] = [c - left, r - top];
  const at = top * side + left;
  const above = ink[at]! * (1 - fx) + ink[at + 1]! * fx;
  const below = ink[at + side]! * (1 - fx) + ink[at + side + 1]! * fx;
  return above * (1 - fy) + below * fy;
}

/** Brightness of the paper about a circle: a + b·x + c·y, x and y [mm]; and the scatter about it. */
export interface Paper {
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly noise: number;
}

export function paperAt({ a, b, c }: Paper, { x, y }: Point): number {
  return Math.max(1, a + b * x + c * y);
}

/** From the rim of the field, without what is dark there: a plane by the means of its quarters, brightest half only. */
export function paperAround(picture: Gray, plane: Homography, reach: number): Paper {
  const samples: { x: number; y: number; value: number }[] = [];
  for (let k = 0; k < 240; k++) {
    const angle = (k * Math.PI) / 120;
    for (const share of [0.86, 0.9, 0.94, 0.98]) {
      const p = { x: share * reach * Math.cos(angle), y: share * reach * Math.sin(angle) };
      samples.push({ ...p, value: brightnessAt(picture, mapped(plane, p)) });
    }
  }
  const side = (of: (s: { x: number; y: number }) => boolean) => {
    const values = Float64Array.from(samples.filter(of), s => s.value);
    return median(values);
  };
  const slope = (low: number, high: number) => ((high - low) / reach) * HALF_SPAN;
  const b = slope(
    side(s => s.x < 0),
    side(s => s.x > 0),
  );
  const c = slope(
    side(s => s.y < 0),
    side(s => s.y > 0),
  );
  const rest = Float64Array.from(samples, s => s.value - b * s.x - c * s.y);
  const a = median(rest);
  // The median of distances from the median is 0.6745 standard deviations of a normal distribution.
  const noise = median(rest.map(v => Math.abs(v - a))) / 0.6745;
  return { a, b, c, noise };
}

/** The mean place of half a circle's rim lies 2/π radii from its middle: two halves are 4/π radii apart. */
const HALF_SPAN = Math.PI / 4 / 0.92;

function median(values: Float64Array): number {
  const sorted = Float64Array.from(values).sort();
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
