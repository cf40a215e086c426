import { type Matrix, matrix, qrFactors, solveWithQr, symmetricEigen } from './linear-algebra.ts';

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

/** Raises each scale to the length of its column in this Jacobian (Moré: the greatest seen so far). */
export function raiseScale(scale: Float64Array, j: Float64Array, free: readonly number[]): void {
  for (const [c, p] of free.entries()) {
    let sum = 0;
    for (let i = c; i < j.length; i += free.length) sum += j[i]! ** 2;
    scale[p] = Math.max(scale[p]!, Math.sqrt(sum));
  }
}

/** Step of the damped linear problem and the gain in the sum of squares that the linear model promises. */
export function dampedStep(
  j: Matrix,
  r: Float64Array,
  moving: readonly number[],
  scale: Float64Array,
  damping: number,
): { s: Float64Array; gain: number } {
  const n = moving.length;
  const rows = damping > 0 ? j.rows + n : j.rows;
  const a = matrix({ rows, columns: n });
  const size = moving.map(p => scale[p]! || 1);
  for (let i = 0; i < j.rows; i++) for (let c = 0; c < n; c++) a.data[i * n + c] = j.data[i * n + c]! / size[c]!;
  if (damping > 0) for (let c = 0; c < n; c++) a.data[(j.rows + c) * n + c] = Math.sqrt(damping);
  const b = new Float64Array(rows);
  for (let i = 0; i < j.rows; i++) b[i] = -r[i]!;
  const t = solveWithQr(qrFactors(a), b);
  let gain = 0; // ‖r‖² − ‖r + J s‖² = ‖J s‖² + 2 λ ‖D s‖²
  for (let i = 0; i < j.rows; i++) {
    let js = 0;
    for (let c = 0; c < n; c++) js += a.data[i * n + c]! * t[c]!;
    gain += js * js;
  }
  for (let c = 0; c < n; c++) gain += 2 * damping * t[c]! ** 2;
  return { s: t.map((v, c) => v / size[c]!), gain };
}

/** √(greatest / smallest eigenvalue of JᵀJ), so good up to about 1e7 and infinite beyond what rounding can tell. */
export function conditionOf(j: Float64Array, columns: number): number {
  const normal = matrix({ rows: columns, columns });
  for (let i = 0; i < j.length; i += columns) {
    for (let a = 0; a < columns; a++) {
      for (let b = 0; b < columns; b++) normal.data[a * columns + b]! += j[i + a]! * j[i + b]!;
    }
  }
  const { values } = symmetricEigen(normal);
  const least = values[columns - 1]!;
  return least > columns * Number.EPSILON * values[0]! ? Math.sqrt(values[0]! / least) : Number.POSITIVE_INFINITY;
}
