import { type Homography, mapped, type Point } from '../../numeric/plane/homography.ts';
import { brightnessOnRay } from '../sheet/brightness-ray.ts';
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
  const reach = dotReach(sheet);
  const uncovered = circlesOf(code)
    .map(({ middle }) => ({ middle, plane: circlePlane(toPicture, code, middle) }))
    .filter(({ plane }) => isVisible(picture, plane, code) && !isCovered(picture, plane, code))
    .map(one => ({ ...one, paper: paperAround(picture, one.plane, reach) }))
    .map(one => ({ ...one, brightness: one.paper.a }));
  const clear = uncovered.filter(one => one.brightness >= DARK_FIELD * brightestNear(uncovered, one.middle));
  if (clear.length === 0) return null;
  const taken = clear.slice(0, MOST);
  const side = 2 * Math.ceil(reach / (STEP / sheet.pixelsPerMm)) + 1;
  const step = (2 * reach) / (side - 1);
  const ink = new Float32Array(side * side);
  const rows = taken.map(() => new Float64Array(side));
  const values = new Float64Array(taken.length);
  for (let r = 0; r < side; r++) {
    const y = r * step - reach;
    for (const [i, { plane }] of taken.entries())
      brightnessOnRay(picture, plane, { x: -reach, y, dx: step, dy: 0 }, rows[i]!);
    for (let c = 0; c < side; c++) {
      for (let i = 0; i < values.length; i++)
        values[i] = 1 - rows[i]![c]! / paperAt(taken[i]!.paper, c * step - reach, y);
      ink[r * side + c] = Math.min(1, Math.max(0, medianOfFew(values)));
    }
  }
  const brightness = clear.map(one => ({ ...one.middle, brightness: one.brightness }));
  return { reach, step, side, ink, change: changeOf(ink, side), papers: brightness };
}

function changeOf(ink: Float32Array, side: number): Float32Array {
  const change = new Float32Array(ink.length);
  for (let row = 0; row < side; row++) {
    for (let column = 0; column < side; column++) {
      let [low, high] = [1, 0];
      for (let r = Math.max(0, row - 1); r <= Math.min(side - 1, row + 1); r++) {
        for (let c = Math.max(0, column - 1); c <= Math.min(side - 1, column + 1); c++) {
          const v = ink[r * side + c]!;
          if (v < low) low = v;
          if (v > high) high = v;
        }
      }
      change[row * side + column] = high - low;
    }
  }
  return change;
}

/** How fast print changes about a place; see `change`. */
export function inkChangeAt({ reach, step, side, change }: FreeCircle, x: number, y: number): number {
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
export function inkAt({ reach, step, side, ink }: FreeCircle, x: number, y: number): number {
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

export function paperAt({ a, b, c }: Paper, x: number, y: number): number {
  return Math.max(1, a + b * x + c * y);
}

/** From the rim of the field, without what is dark there: a plane by the means of its quarters, brightest half only. */
export function paperAround(picture: Gray, plane: Homography, reach: number): Paper {
  const n = RIM_ANGLES * RIM_SHARES.length;
  const [x, y, value] = [new Float64Array(n), new Float64Array(n), new Float64Array(n)];
  for (let i = 0; i < n; i++) {
    const angle = (2 * Math.PI * Math.floor(i / RIM_SHARES.length)) / RIM_ANGLES;
    const r = RIM_SHARES[i % RIM_SHARES.length]! * reach;
    x[i] = r * Math.cos(angle);
    y[i] = r * Math.sin(angle);
    value[i] = brightnessAt(picture, mapped(plane, { x: x[i]!, y: y[i]! }));
  }
  const slope = (along: Float64Array) => {
    const [low, high] = [value.filter((_, i) => along[i]! < 0), value.filter((_, i) => along[i]! > 0)];
    return ((median(high) - median(low)) / reach) * HALF_SPAN;
  };
  const [b, c] = [slope(x), slope(y)];
  const rest = value.map((v, i) => v - b * x[i]! - c * y[i]!);
  const a = median(rest);
  // The median of distances from the median is 0.6745 standard deviations of a normal distribution.
  const noise = median(rest.map(v => Math.abs(v - a))) / 0.6745;
  return { a, b, c, noise };
}

const RIM_ANGLES = 120;
const RIM_SHARES = [0.86, 0.9, 0.94, 0.98];

/** The mean place of half a circle's rim lies 2/π radii from its middle: two halves are 4/π radii apart. */
const HALF_SPAN = Math.PI / 4 / 0.92;

function median(values: Float64Array): number {
  return middleOf(Float64Array.from(values).sort());
}

/** The same, in place and without a list of its own. */
function medianOfFew(values: Float64Array): number {
  for (let i = 1; i < values.length; i++) {
    const value = values[i]!;
    let k = i;
    for (; k > 0 && values[k - 1]! > value; k--) values[k] = values[k - 1]!;
    values[k] = value;
  }
  return middleOf(values);
}

function middleOf(sorted: Float64Array): number {
  const middle = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[middle]! : (sorted[middle - 1]! + sorted[middle]!) / 2;
}
