import { DomainError } from '../domain-error.ts';
import { matrix, qrFactors, solveWithQr } from '../linear-algebra.ts';

/** A place in a plane, in whatever unit the plane has. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** A point of one plane and its picture in another. */
export interface PointPair {
  readonly from: Point;
  readonly to: Point;
}

/**
 * A map between two planes that keeps straight lines straight: (x, y, 1) times this matrix, by rows, and divided by the third
 * component.
 */
export type Homography = readonly [number, number, number, number, number, number, number, number, number];

export function mapped(h: Homography, { x, y }: Point): Point {
  const w = h[6] * x + h[7] * y + h[8];
  return { x: (h[0] * x + h[1] * y + h[2]) / w, y: (h[3] * x + h[4] * y + h[5]) / w };
}

/** First a, then b. */
export function composed(b: Homography, a: Homography): Homography {
  const out: number[] = [];
  for (let i = 0; i < 3; i++)
    for (let j = 0; j < 3; j++) out.push(b[3 * i]! * a[j]! + b[3 * i + 1]! * a[3 + j]! + b[3 * i + 2]! * a[6 + j]!);
  return out as unknown as Homography;
}

/** The map back. Throws: DomainError for a map that folds the plane into a line. */
export function inverted(h: Homography): Homography {
  const [a, b, c, d, e, f, g, k, i] = h;
  const determinant = a * (e * i - f * k) - b * (d * i - f * g) + c * (d * k - e * g);
  const size = Math.max(...h.map(Math.abs));
  if (!(Math.abs(determinant) > 1e-14 * size ** 3)) throw new DomainError('determinant', determinant, '-', 'not zero');
  const minors = [e * i - f * k, c * k - b * i, b * f - c * e, f * g - d * i, a * i - c * g, c * d - a * f];
  const rest = [d * k - e * g, b * g - a * k, a * e - b * d];
  return [...minors, ...rest].map(v => v / determinant) as unknown as Homography;
}

/** How lengths change at a place: the derivatives of the picture [∂x'/∂x, ∂x'/∂y, ∂y'/∂x, ∂y'/∂y]. */
export function localMap(h: Homography, at: Point): readonly [number, number, number, number] {
  const w = h[6] * at.x + h[7] * at.y + h[8];
  const to = mapped(h, at);
  return [(h[0] - h[6] * to.x) / w, (h[1] - h[7] * to.x) / w, (h[3] - h[6] * to.y) / w, (h[4] - h[7] * to.y) / w];
}

/**
 * The homography that brings the points nearest to their pictures: least sum of squared distances in the plane `to`. Both planes
 * are moved and scaled to their middle first, without which the equations are ill conditioned; the linear solution then is
 * improved by Gauss-Newton steps on the distances themselves.
 *
 * Shape: four pairs at least, no three of the four on a line; null where they do not fix a map.
 * Source: Hartley, Zisserman, Multiple View Geometry in Computer Vision, 2nd ed., 4.1 and 4.4 (normalised linear solution, then the
 * geometric distance), from memory; the test recovers known maps.
 */
export function fittedHomography(pairs: readonly PointPair[]): Homography | null {
  if (pairs.length < 4) return null;
  const from = middle(pairs.map(p => p.from));
  const to = middle(pairs.map(p => p.to));
  if (from === null || to === null) return null;
  const points = pairs.map(p => ({ from: mapped(from.into, p.from), to: mapped(to.into, p.to) }));
  let h = linear(points);
  if (h === null) return null;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const step = improvement(h, points);
    if (step === null) return null;
    h = h.map((v, i) => (i < 8 ? v + step[i]! : v)) as unknown as Homography;
    if (Math.max(...step.map(Math.abs)) < 1e-13) break;
  }
  const all = composed(to.back, composed(h, from.into));
  return all.every(Number.isFinite) ? (all.map(v => v / all[8]) as unknown as Homography) : null;
}

const MOST_ROUNDS = 8;

/** The map that puts the middle of points at zero and their mean distance at √2, and the map back; null where all are one point. */
function middle(points: readonly Point[]): { into: Homography; back: Homography } | null {
  const n = points.length;
  const x = points.reduce((sum, p) => sum + p.x, 0) / n;
  const y = points.reduce((sum, p) => sum + p.y, 0) / n;
  const s = points.reduce((sum, p) => sum + Math.hypot(p.x - x, p.y - y), 0) / n / Math.SQRT2;
  if (!(s > 0 && Number.isFinite(s))) return null;
  return { into: [1 / s, 0, -x / s, 0, 1 / s, -y / s, 0, 0, 1], back: [s, 0, x, 0, s, y, 0, 0, 1] };
}

/** Least squares with the last element at 1: the middle of the points, which is never mapped to infinity, lies at zero. */
function linear(points: readonly PointPair[]): Homography | null {
  const rows: number[] = [];
  const right: number[] = [];
  for (const { from, to } of points) {
    rows.push(from.x, from.y, 1, 0, 0, 0, -from.x * to.x, -from.y * to.x);
    rows.push(0, 0, 0, from.x, from.y, 1, -from.x * to.y, -from.y * to.y);
    right.push(to.x, to.y);
  }
  const solution = solved(rows, right);
  return solution === null ? null : ([...solution, 1] as unknown as Homography);
}

function improvement(h: Homography, points: readonly PointPair[]): number[] | null {
  const rows: number[] = [];
  const right: number[] = [];
  for (const { from, to } of points) {
    const w = h[6] * from.x + h[7] * from.y + 1;
    const at = mapped(h, from);
    const [x, y] = [from.x / w, from.y / w];
    rows.push(x, y, 1 / w, 0, 0, 0, -x * at.x, -y * at.x);
    rows.push(0, 0, 0, x, y, 1 / w, -x * at.y, -y * at.y);
    right.push(to.x - at.x, to.y - at.y);
  }
  return solved(rows, right);
}

function solved(rows: readonly number[], right: readonly number[]): number[] | null {
  if (!rows.every(Number.isFinite) || !right.every(Number.isFinite)) return null;
  const factors = qrFactors(matrix({ rows: right.length, columns: 8 }, rows));
  if (factors.rank < 8) return null;
  const x = [...solveWithQr(factors, right)];
  return x.every(Number.isFinite) ? x : null;
}
