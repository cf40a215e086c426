import { DomainError } from '../numeric/domain-error.ts';
import { findRoot } from '../numeric/root.ts';
import { normalCdf } from './distributions.ts';

/** Shape of a deviation that is symmetric about zero. */
export type DeviationShape = 'normal' | 'uniform' | 'triangular';

/** The deviation [standard deviations] that has the same probability below it as a standard normal number. */
export function fromNormal(shape: DeviationShape): (z: number) => number {
  switch (shape) {
    case 'normal':
      return z => z;
    case 'uniform':
      return z => Math.sqrt(3) * (2 * normalCdf(z) - 1);
    case 'triangular':
      // From the nearer end, so that neither tail loses its digits.
      return z => -Math.sign(z) * Math.sqrt(6) * (Math.sqrt(2 * normalCdf(-Math.abs(z))) - 1);
  }
}

/** Terms of the series. For uniform values the rest is below rounding, for triangular ones (a kink) below 1e-4 near r = 1. */
const TERMS = 31;
const SPAN = 9; // the normal density beyond is 1e-18
const STEP = 1 / 128; // the trapezoidal rule; zero is a node, where the triangular shape has its kink

/**
 * Correlation [-] of the two standard normal numbers under a Gaussian copula whose values, in their shapes, correlate by r;
 * null where the shapes do not reach it (a uniform and a normal value at most by √(3/π) = 0.977).
 *
 *   r = Σ cₖ·dₖ·ρᵏ, cₖ and dₖ the coefficients of both shapes in normalised Hermite polynomials
 *
 * Two uniform values: ρ = 2·sin(πr/6); a uniform and a normal one: ρ = r·√(π/3); two normal ones: ρ = r.
 * Throws: DomainError for r outside −1 to 1.
 * Source: Mehler's formula; the closed forms from K. Pearson 1907 (from memory).
 * Evidence: the closed forms; r of a large sample.
 */
export function copulaCorrelation(p: { first: DeviationShape; second: DeviationShape; r: number }): number | null {
  const { first, second, r } = p;
  if (!(r >= -1 && r <= 1)) throw new DomainError('r', r, '-', 'from -1 to 1');
  if (r === 0 || (first === 'normal' && second === 'normal')) return r;
  const [c, d] = [hermiteCoefficients(first), hermiteCoefficients(second)];
  const reached = (rho: number) => {
    let sum = 0;
    for (let k = TERMS; k >= 1; k--) sum = (sum + c[k]! * d[k]!) * rho;
    return sum;
  };
  const most = first === second ? 1 : reached(1); // two of one shape can be equal
  if (Math.abs(r) > most * (1 + 1e-12)) return null;
  if (Math.abs(r) >= reached(1)) return Math.sign(r);
  return findRoot(rho => reached(rho) - r, -1, 1, { relative: 1e-14 });
}

const known = new Map<DeviationShape, Float64Array>();

function hermiteCoefficients(shape: DeviationShape): Float64Array {
  const before = known.get(shape);
  if (before !== undefined) return before;
  const value = fromNormal(shape);
  const c = new Float64Array(TERMS + 1);
  for (let i = -SPAN / STEP; i <= SPAN / STEP; i++) {
    const z = i * STEP;
    const weight = (value(z) * STEP * Math.exp((-z * z) / 2)) / Math.sqrt(2 * Math.PI);
    let [previous, h] = [0, 1];
    for (let k = 0; k <= TERMS; k++) {
      c[k]! += weight * h;
      [previous, h] = [h, (z * h - Math.sqrt(k) * previous) / Math.sqrt(k + 1)];
    }
  }
  known.set(shape, c);
  return c;
}
