import type { QrFactors } from './linear-algebra.ts';

/** Columns whose cosine is below this count as orthogonal. */
const ORTHOGONAL = 1e-15;
const MOST_SWEEPS = 60;

/**
 * Singular values of a matrix from its QR factors, falling: one-sided Jacobi rotations of Rᵀ, which keep the small ones to their own digits.
 *
 * Valid for: small matrices; the cost grows with n³ times a few sweeps.
 * Source: Golub & Van Loan, Matrix Computations, 4th ed., sec. 8.6.4; Demmel & Veselić, SIAM J. Matrix Anal. Appl. 13 (1992) 1204.
 * Evidence: 2 × 2 by hand, a graded matrix down to 1e-12, orthogonal columns.
 */
export function singularValues(f: QrFactors): Float64Array {
  const n = f.columns;
  // Columns of Rᵀ are rows of R.
  const columns = Array.from({ length: n }, (_, i) =>
    Float64Array.from({ length: n }, (_, k) => (k < i ? 0 : k === i ? f.diagonal[i]! : f.packed[i * n + k]!)),
  );
  for (let sweep = 0, turned = true; sweep < MOST_SWEEPS && turned; sweep++) {
    turned = false;
    for (let p = 0; p < n; p++) {
      for (let q = p + 1; q < n; q++) turned = turn(columns[p]!, columns[q]!) || turned;
    }
  }
  return Float64Array.from(columns, c => Math.sqrt(dot(c, c))).sort((a, b) => b - a);
}

/** Rotates two columns until they are orthogonal; false where they are already. */
function turn(a: Float64Array, b: Float64Array): boolean {
  const ab = dot(a, b);
  const aa = dot(a, a);
  const bb = dot(b, b);
  if (Math.abs(ab) <= ORTHOGONAL * Math.sqrt(aa * bb)) return false;
  const theta = (bb - aa) / (2 * ab);
  const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.hypot(theta, 1));
  const c = 1 / Math.hypot(t, 1);
  for (let i = 0; i < a.length; i++) {
    const x = a[i]!;
    a[i] = c * x - c * t * b[i]!;
    b[i] = c * t * x + c * b[i]!;
  }
  return true;
}

function dot(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}
