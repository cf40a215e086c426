import { matrix, qrFactors, solveWithQr } from '../../numeric/linear-algebra.ts';
import { type Homography, localMap, type Point } from '../../numeric/plane/homography.ts';
import { brightnessOnRay, type Ray } from './brightness-ray.ts';
import type { Gray } from './gray-picture.ts';

/** Many enough that the dashes of a ring do not beat with them. */
const DIRECTIONS = 360;

/** Between two places of a profile [px]; brightness is straight between pixels. */
const SAMPLING = 0.35;

/** Pixels in a millimetre about a place. */
function pixelsNear(plane: Homography, at: Point): number {
  const [a, b, c, d] = localMap(plane, at);
  return Math.sqrt(Math.abs(a * d - b * c));
}

/** A ring of a circle as it was found, in the plane of the circle [mm]. */
export interface FoundRing {
  /** Of its middle from where it was looked for. */
  readonly middle: Point;
  readonly radius: number;
  /** Scatter of the line about the circle. */
  readonly scatter: number;
  /** Share of directions in which there was a line [-]. */
  readonly share: number;
}

/**
 * Dark lines around a middle, between two radii [mm]: on each ray the middle of what is darker than the ends of the window, and
 * of all rays the circle by least squares, r(φ) = R + x·cos φ + y·sin φ. Null where fewer than `least` of the rays meet a line.
 */
export function findRing(
  picture: Gray,
  plane: Homography,
  p: { middle: Point; from: number; to: number; least: number },
): FoundRing | null {
  const steps = Math.max(12, Math.round((p.to - p.from) / Math.max(0.02, SAMPLING / pixelsNear(plane, p.middle))));
  const step = (p.to - p.from) / steps;
  const profile = new Float64Array(steps + 1);
  const rows: number[] = [];
  const right: number[] = [];
  for (let k = 0; k < DIRECTIONS; k++) {
    const angle = (2 * Math.PI * k) / DIRECTIONS;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    brightnessOnRay(picture, plane, outward(p, { cos, sin, step }), profile);
    const at = lineOn(profile);
    if (at === null) continue;
    rows.push(1, cos, sin);
    right.push(p.from + at * step);
  }
  if (right.length < Math.max(8, p.least * DIRECTIONS)) return null;
  const factors = qrFactors(matrix({ rows: right.length, columns: 3 }, rows));
  if (factors.rank < 3) return null;
  const [radius, x, y] = [...solveWithQr(factors, right)] as [number, number, number];
  const sum = right.reduce((total, r, i) => total + (r - radius - x * rows[3 * i + 1]! - y * rows[3 * i + 2]!) ** 2, 0);
  return {
    middle: { x: p.middle.x + x, y: p.middle.y + y },
    radius,
    scatter: Math.sqrt(sum / right.length),
    share: right.length / DIRECTIONS,
  };
}

/** The ray of a direction from the near end of a window about a middle. */
function outward(
  { middle, from }: { middle: Point; from: number },
  { cos, sin, step }: { cos: number; sin: number; step: number },
): Ray {
  return { x: middle.x + from * cos, y: middle.y + from * sin, dx: step * cos, dy: step * sin };
}

/** A line is darker than the brighter end of its window by this share [-]. */
const LEAST_DARKNESS = 0.06;

/** Middle of the darkness on a profile, in samples; null where nothing is dark. The ends of the window are taken as paper. */
function lineOn(profile: Float64Array): number | null {
  const last = profile.length - 1;
  const paper = (i: number) => profile[0]! + ((profile[last]! - profile[0]!) * i) / last;
  let [sum, moment, darkest] = [0, 0, 0];
  for (let i = 0; i <= last; i++) {
    const dark = Math.max(0, paper(i) - profile[i]!);
    sum += dark;
    moment += dark * i;
    darkest = Math.max(darkest, dark / Math.max(paper(i), 1));
  }
  return darkest < LEAST_DARKNESS ? null : moment / sum;
}

/** Darkness about a middle by radius, the mean over all directions; the ends of the window are taken as paper. */
export function meanDarkness(
  picture: Gray,
  plane: Homography,
  p: { middle: Point; from: number; to: number },
): { values: Float64Array; step: number } {
  const steps = Math.round((p.to - p.from) / Math.max(0.01, SAMPLING / 2 / pixelsNear(plane, p.middle)));
  const step = (p.to - p.from) / steps;
  const profile = new Float64Array(steps + 1);
  const sum = new Float64Array(steps + 1);
  for (let k = 0; k < DIRECTIONS; k++) {
    const angle = (2 * Math.PI * k) / DIRECTIONS;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    brightnessOnRay(picture, plane, outward(p, { cos, sin, step }), profile);
    for (let i = 0; i <= steps; i++) sum[i]! -= profile[i]! / DIRECTIONS;
  }
  const [first, last] = [sum[0]!, sum[steps]!];
  return { values: sum.map((v, i) => v - first - ((last - first) * i) / steps), step };
}
