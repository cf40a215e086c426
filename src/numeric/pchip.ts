import { DomainError, requireFinite } from './domain-error.ts';

export interface Pchip {
  (x: number): number;
  /** Slope of the interpolant; continuous, constant outside the points. */
  derivative(x: number): number;
}

/**
 * Monotone piecewise cubic through (x, y): where the points rise, fall or stay level, so does the curve, and it never
 * leaves the range of two neighbouring points.
 *
 *   slopes: weighted harmonic mean of the neighbouring secants, zero where these differ in sign; three-point formula,
 *   limited, at the ends (Fritsch & Butland's choice inside Fritsch & Carlson's region of monotonicity)
 *
 * Outside the points it goes on in a straight line with the end slope. One point gives a constant, two a straight line.
 * Shape: x strictly rising, as long as y.
 * Throws: DomainError for an empty, unordered or not finite table, and for a not finite argument.
 * Source: Fritsch & Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246; Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5
 * (1984) 300-304.
 * Evidence: straight lines exactly, monotone data, values and slopes of an independent implementation (SciPy 1.17).
 */
export function pchip(x: readonly number[], y: readonly number[]): Pchip {
  checkTable(x, y);
  const slopes = endSlopes(x, y);
  const last = x.length - 1;
  const locate = (at: number): number => {
    requireFinite('x', at, '-');
    let low = 0;
    let high = last;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (x[middle]! <= at) low = middle;
      else high = middle;
    }
    return low;
  };
  const value = (at: number): number => {
    const i = locate(at);
    if (at <= x[0]!) return y[0]! + slopes[0]! * (at - x[0]!);
    if (at >= x[last]!) return y[last]! + slopes[last]! * (at - x[last]!);
    const h = x[i + 1]! - x[i]!;
    const t = (at - x[i]!) / h;
    const u = 1 - t;
    return (
      y[i]! * u * u * (1 + 2 * t) + y[i + 1]! * t * t * (3 - 2 * t) + h * t * u * (slopes[i]! * u - slopes[i + 1]! * t)
    );
  };
  const derivative = (at: number): number => {
    const i = locate(at);
    if (at <= x[0]!) return slopes[0]!;
    if (at >= x[last]!) return slopes[last]!;
    const h = x[i + 1]! - x[i]!;
    const t = (at - x[i]!) / h;
    const secant = (y[i + 1]! - y[i]!) / h;
    return 6 * t * (1 - t) * secant + slopes[i]! * (1 - t) * (1 - 3 * t) + slopes[i + 1]! * t * (3 * t - 2);
  };
  return Object.assign(value, { derivative });
}

function endSlopes(x: readonly number[], y: readonly number[]): number[] {
  const n = x.length;
  if (n === 1) return [0];
  const h = x.slice(1).map((next, i) => next - x[i]!);
  const secant = h.map((width, i) => (y[i + 1]! - y[i]!) / width);
  if (n === 2) return [secant[0]!, secant[0]!];
  const slopes = [edge(h[0]!, h[1]!, secant[0]!, secant[1]!)];
  for (let i = 1; i < n - 1; i++) {
    const before = secant[i - 1]!;
    const after = secant[i]!;
    if (before * after <= 0) {
      slopes.push(0);
      continue;
    }
    const near = 2 * h[i]! + h[i - 1]!;
    const far = h[i]! + 2 * h[i - 1]!;
    slopes.push((near + far) / (near / before + far / after));
  }
  slopes.push(edge(h[n - 2]!, h[n - 3]!, secant[n - 2]!, secant[n - 3]!));
  return slopes;
}

/** Slope at an end from the two nearest intervals, kept on the side and within the size that monotony allows. */
function edge(h0: number, h1: number, secant0: number, secant1: number): number {
  const slope = ((2 * h0 + h1) * secant0 - h0 * secant1) / (h0 + h1);
  if (slope * secant0 <= 0) return 0;
  if (secant0 * secant1 <= 0 && Math.abs(slope) > 3 * Math.abs(secant0)) return 3 * secant0;
  return slope;
}

function checkTable(x: readonly number[], y: readonly number[]): void {
  if (x.length === 0) throw new DomainError('x.length', 0, '-', 'at least 1');
  if (x.length !== y.length) throw new DomainError('y.length', y.length, '-', `as long as x (${x.length})`);
  x.forEach((value, i) => {
    requireFinite(`x[${i}]`, value, '-');
    requireFinite(`y[${i}]`, y[i]!, '-');
    if (i > 0 && value <= x[i - 1]!) throw new DomainError(`x[${i}]`, value, '-', `above x[${i - 1}] = ${x[i - 1]}`);
  });
}
