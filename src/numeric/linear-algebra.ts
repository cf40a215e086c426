import { DomainError } from './domain-error.ts';

/** A dense matrix, stored row after row. */
export interface Matrix {
  readonly rows: number;
  readonly columns: number;
  /** Element (i, j) is data[i·columns + j]. */
  readonly data: Float64Array;
}

/** A matrix of zeros, or with the given elements row after row. Throws: DomainError when the count does not fit. */
export function matrix(size: { rows: number; columns: number }, elements?: ArrayLike<number>): Matrix {
  const { rows, columns } = size;
  if (elements !== undefined && elements.length !== rows * columns) {
    throw new DomainError('elements', elements.length, '-', `${rows * columns} in number`);
  }
  return { rows, columns, data: elements ? Float64Array.from(elements) : new Float64Array(rows * columns) };
}

/**
 * Lower Cholesky factor L of a symmetric positive definite matrix, A = L·Lᵀ, or null where A is not positive definite.
 *
 * Shape: n × n in, n × n out (zeros above the diagonal); only the lower triangle of A is read.
 * Throws: DomainError when A is not square.
 * Source: Golub & Van Loan, Matrix Computations, 4th ed., alg. 4.2.1.
 * Evidence: hand-worked 3 × 3, product gives the matrix back.
 */
export function cholesky(a: Matrix): Matrix | null {
  requireSquare(a);
  const n = a.rows;
  const l = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let sum = a.data[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= l[i * n + k]! * l[j * n + k]!;
      if (i > j) l[i * n + j] = sum / l[j * n + j]!;
      else if (sum > 0) l[j * n + j] = Math.sqrt(sum);
      else return null;
    }
  }
  return { rows: n, columns: n, data: l };
}

/** Householder QR factorisation with column pivoting, A·P = Q·R. */
export interface QrFactors {
  readonly rows: number;
  readonly columns: number;
  /** How many columns are independent, judged by the diagonal of R against its first. */
  readonly rank: number;
  /** Column `pivot[k]` of A is column k of A·P. */
  readonly pivot: Int32Array;
  /** Diagonal of R, falling in size. */
  readonly diagonal: Float64Array;
  /** R above its diagonal, and below it the Householder vectors v, whose first elements are one; H = 1 − β·v·vᵀ. */
  readonly packed: Float64Array;
  readonly betas: Float64Array;
}

/** Columns shorter than this count as zero: their squares underflow, and a reflection made from them keeps no lengths. */
const NEGLIGIBLE = 1e-140;

/**
 * Householder QR with column pivoting of a matrix with at least as many rows as columns.
 *
 * Rank: columns whose diagonal in R stays above `rows · ε · |R₁₁|`. Scale the columns first where their units differ.
 * Throws: DomainError when there are fewer rows than columns.
 * Source: Golub & Van Loan, Matrix Computations, 4th ed., alg. 5.4.1; Businger & Golub, Numer. Math. 7 (1965) 269.
 * Evidence: the StRD problems through `fitLeastSquares`; QᵀQ = I and Q·R = A·P on random matrices.
 */
export function qrFactors(a: Matrix): QrFactors {
  const { rows: m, columns: n } = a;
  if (m < n) throw new DomainError('rows', m, '-', `at least the number of columns, ${n}`);
  const q = Float64Array.from(a.data);
  const pivot = Int32Array.from({ length: n }, (_, j) => j);
  const diagonal = new Float64Array(n);
  const betas = new Float64Array(n);
  for (let k = 0; k < n; k++) {
    swapColumns(q, n, m, pivot, k, largestColumn(q, { rows: m, columns: n, from: k }));
    const length = columnNorm(q, n, m, k, k);
    if (length < NEGLIGIBLE) continue;
    const alpha = q[k * n + k]! > 0 ? -length : length;
    diagonal[k] = alpha;
    const head = q[k * n + k]! - alpha;
    for (let i = k + 1; i < m; i++) q[i * n + k] = q[i * n + k]! / head;
    betas[k] = -head / alpha;
    for (let j = k + 1; j < n; j++) {
      let dot = q[k * n + j]!;
      for (let i = k + 1; i < m; i++) dot += q[i * n + k]! * q[i * n + j]!;
      const factor = betas[k]! * dot;
      q[k * n + j] = q[k * n + j]! - factor;
      for (let i = k + 1; i < m; i++) q[i * n + j] = q[i * n + j]! - factor * q[i * n + k]!;
    }
  }
  const threshold = m * Number.EPSILON * Math.abs(diagonal[0] ?? 0);
  let rank = 0;
  while (rank < n && Math.abs(diagonal[rank]!) > threshold) rank++;
  return { rows: m, columns: n, rank, pivot, diagonal, packed: q, betas };
}

/** Qᵀ·b, in place. Shape: b has as many elements as A has rows. */
export function applyQTransposed(f: QrFactors, b: Float64Array): Float64Array {
  for (let k = 0; k < f.columns; k++) reflect(f, k, b);
  return b;
}

/** Q·b, in place. Shape: b has as many elements as A has rows. */
export function applyQ(f: QrFactors, b: Float64Array): Float64Array {
  for (let k = f.columns - 1; k >= 0; k--) reflect(f, k, b);
  return b;
}

/**
 * x of least ‖A·x − b‖; where columns depend on each other, those that pivoting puts last get zero.
 * Shape: b has as many elements as A has rows, the result as many as A has columns.
 */
export function solveWithQr(f: QrFactors, b: ArrayLike<number>): Float64Array {
  const n = f.columns;
  const y = applyQTransposed(f, Float64Array.from(b));
  const x = new Float64Array(n);
  for (let i = f.rank - 1; i >= 0; i--) {
    let sum = y[i]!;
    for (let j = i + 1; j < f.rank; j++) sum -= f.packed[i * n + j]! * x[f.pivot[j]!]!;
    x[f.pivot[i]!] = sum / f.diagonal[i]!;
  }
  return x;
}

/**
 * (AᵀA)⁻¹ = P·R⁻¹·R⁻ᵀ·Pᵀ from the factors of A, without forming AᵀA.
 * Throws: DomainError when the columns of A are not independent.
 */
export function inverseNormalMatrix(f: QrFactors): Matrix {
  const n = f.columns;
  if (f.rank < n) throw new DomainError('rank', f.rank, '-', `full, ${n}`);
  const inverse = new Float64Array(n * n); // R⁻¹, upper triangle
  for (let j = 0; j < n; j++) {
    inverse[j * n + j] = 1 / f.diagonal[j]!;
    for (let i = j - 1; i >= 0; i--) {
      let sum = 0;
      for (let k = i + 1; k <= j; k++) sum += f.packed[i * n + k]! * inverse[k * n + j]!;
      inverse[i * n + j] = -sum / f.diagonal[i]!;
    }
  }
  const out = matrix({ rows: n, columns: n });
  for (let i = 0; i < n; i++) {
    for (let j = i; j < n; j++) {
      let sum = 0;
      for (let k = j; k < n; k++) sum += inverse[i * n + k]! * inverse[j * n + k]!;
      out.data[f.pivot[i]! * n + f.pivot[j]!] = sum;
      out.data[f.pivot[j]! * n + f.pivot[i]!] = sum;
    }
  }
  return out;
}

/** Diagonal of the projection A·(AᵀA)⁻¹·Aᵀ: the leverage of each row, 0 to 1. */
export function leverages(f: QrFactors): Float64Array {
  const out = new Float64Array(f.rows);
  const unit = new Float64Array(f.rows);
  for (let k = 0; k < f.rank; k++) {
    unit.fill(0);
    unit[k] = 1;
    applyQ(f, unit);
    for (let i = 0; i < f.rows; i++) out[i] = out[i]! + unit[i]! ** 2;
  }
  return out;
}

function reflect(f: QrFactors, k: number, b: Float64Array): void {
  const beta = f.betas[k]!;
  if (beta === 0) return;
  const n = f.columns;
  let dot = b[k]!;
  for (let i = k + 1; i < f.rows; i++) dot += f.packed[i * n + k]! * b[i]!;
  const factor = beta * dot;
  b[k] = b[k]! - factor;
  for (let i = k + 1; i < f.rows; i++) b[i] = b[i]! - factor * f.packed[i * n + k]!;
}

function largestColumn(q: Float64Array, size: { rows: number; columns: number; from: number }): number {
  let best = size.from;
  let greatest = -1;
  for (let j = size.from; j < size.columns; j++) {
    const norm = columnNorm(q, size.columns, size.rows, j, size.from);
    if (norm > greatest) {
      greatest = norm;
      best = j;
    }
  }
  return best;
}

/** Length of column j from row `from` down, safe against overflow. */
function columnNorm(q: Float64Array, n: number, m: number, j: number, from: number): number {
  let scale = 0;
  for (let i = from; i < m; i++) scale = Math.max(scale, Math.abs(q[i * n + j]!));
  if (scale === 0 || !Number.isFinite(scale)) return scale;
  let sum = 0;
  for (let i = from; i < m; i++) sum += (q[i * n + j]! / scale) ** 2;
  return scale * Math.sqrt(sum);
}

function swapColumns(q: Float64Array, n: number, m: number, pivot: Int32Array, i: number, j: number): void {
  if (i === j) return;
  for (let r = 0; r < m; r++) {
    const keep = q[r * n + i]!;
    q[r * n + i] = q[r * n + j]!;
    q[r * n + j] = keep;
  }
  const keep = pivot[i]!;
  pivot[i] = pivot[j]!;
  pivot[j] = keep;
}

function requireSquare(a: Matrix): void {
  if (a.rows !== a.columns) throw new DomainError('columns', a.columns, '-', `the number of rows, ${a.rows}`);
}
