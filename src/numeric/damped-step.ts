import { type Matrix, matrix, qrFactors, solveWithQr } from './linear-algebra.ts';

/** The wanted columns of a Jacobian whose columns belong to `have`. */
export function selectColumns(
  j: Float64Array,
  have: readonly number[],
  want: readonly number[],
  count: number,
): Matrix {
  const at = want.map(p => have.indexOf(p));
  const out = matrix({ rows: count, columns: want.length });
  for (let i = 0; i < count; i++) {
    for (const [c, from] of at.entries()) out.data[i * want.length + c] = j[i * have.length + from]!;
  }
  return out;
}

/** Share of its scale that a column keeps from one step to the next. */
const KEPT = 0.5;

/**
 * Raises each scale to the length of its column in this Jacobian, or lets it sink by half. The greatest length ever seen (Moré) would
 * tie down for good a parameter that passed through tiny values; the length of now alone lets one run away.
 */
export function followScale(scale: Float64Array, j: Float64Array, free: readonly number[]): void {
  for (const [c, length] of columnLengths(j, free.length).entries()) {
    const p = free[c]!;
    scale[p] = Math.max(KEPT * scale[p]!, length);
  }
}

export function columnLengths(j: Float64Array, columns: number): Float64Array {
  const out = new Float64Array(columns);
  for (let i = 0; i < j.length; i++) out[i % columns] = out[i % columns]! + j[i]! ** 2;
  return out.map(Math.sqrt);
}

/** The linear model around a point: residuals r + J·s, with a length for each of the parameters that move. */
export interface LinearModel {
  readonly j: Matrix;
  readonly r: Float64Array;
  readonly size: Float64Array;
}

/** A step, the gain in the sum of squares that the linear model promises, and the sum it leaves. */
export interface Step {
  readonly s: Float64Array;
  readonly gain: number;
  readonly left: number;
}

/** Step of the damped linear problem. */
export function dampedStep({ j, r, size }: LinearModel, damping: number): Step {
  const n = size.length;
  const rows = damping > 0 ? j.rows + n : j.rows;
  const a = matrix({ rows, columns: n });
  for (let i = 0; i < j.rows; i++) for (let c = 0; c < n; c++) a.data[i * n + c] = j.data[i * n + c]! / size[c]!;
  if (damping > 0) for (let c = 0; c < n; c++) a.data[(j.rows + c) * n + c] = Math.sqrt(damping);
  const b = new Float64Array(rows);
  for (let i = 0; i < j.rows; i++) b[i] = -r[i]!;
  const t = solveWithQr(qrFactors(a), b);
  let gain = 0; // ‖r‖² − ‖r + J s‖² = ‖J s‖² + 2 λ ‖D s‖², without the digits that a difference loses
  let left = 0;
  for (let i = 0; i < j.rows; i++) {
    let js = 0;
    for (let c = 0; c < n; c++) js += a.data[i * n + c]! * t[c]!;
    gain += js * js;
    left += (r[i]! + js) ** 2;
  }
  for (let c = 0; c < n; c++) gain += 2 * damping * t[c]! ** 2;
  return { s: t.map((v, c) => v / size[c]!), gain, left };
}

/** How far along a step its curvature is taken, relative to the step. */
const PROBE = 0.1;
/** Longest acceleration, relative to the step: beyond it the step leaves what two derivatives can tell. */
const LONGEST_BEND = 0.75;

/**
 * A damped step bent along the curvature of the residuals in its direction (geodesic acceleration), so that it can follow a narrow
 * curved valley; null where it bends too much to be believed.
 *
 *   s + ½a,  (JᵀJ + λD²)·a = −Jᵀ r″,  r″ = (2/h)·((r(x + h·s) − r(x))/h − J·s)
 *
 * Source: Transtrum & Sethna, arXiv:1201.5885 (2012), sec. 3.
 */
export function bentStep(
  model: LinearModel,
  step: Step,
  damping: number,
  residualsAt: (s: Float64Array) => Float64Array | null,
): Step | null {
  const n = model.size.length;
  const ahead = residualsAt(step.s.map(v => PROBE * v));
  if (ahead === null) return null;
  const bend = ahead.map((r, i) => {
    let js = 0;
    for (let c = 0; c < n; c++) js += model.j.data[i * n + c]! * step.s[c]!;
    return (2 / PROBE) * ((r - model.r[i]!) / PROBE - js);
  });
  const { s: a } = dampedStep({ ...model, r: bend }, damping);
  if (!(scaledLength(a, model.size) <= LONGEST_BEND * scaledLength(step.s, model.size))) return null;
  return { ...step, s: step.s.map((v, c) => v + a[c]! / 2) };
}

export function scaledLength(s: ArrayLike<number>, size: ArrayLike<number>): number {
  let sum = 0;
  for (let c = 0; c < s.length; c++) sum += (size[c]! * s[c]!) ** 2;
  return Math.sqrt(sum);
}
