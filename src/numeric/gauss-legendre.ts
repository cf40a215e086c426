import { DomainError } from './domain-error.ts';

export interface QuadratureRule {
  /** Nodes on [−1, 1], rising. */ readonly nodes: readonly number[];
  /** Weights, sum 2. */ readonly weights: readonly number[];
}

/**
 * Nodes and weights of the n-point Gauss–Legendre rule on [−1, 1] [-].
 *
 *   nodes: the roots of the Legendre polynomial Pₙ; weights 2 / ((1 − x²) Pₙ′(x)²)
 *
 * Valid for: 1 ≤ n ≤ 100. Exact for polynomials up to degree 2n − 1.
 * Throws: DomainError when n is not a whole number in that range.
 * Source: Abramowitz & Stegun, 25.4.29 (from memory).
 * Evidence: exactness for every degree, the closed forms of n = 2 and 3.
 */
export function gaussLegendre(n: number): QuadratureRule {
  if (!(Number.isInteger(n) && n >= 1 && n <= 100)) throw new DomainError('n', n, '-', 'a whole number from 1 to 100');
  const nodes: number[] = [];
  const weights: number[] = [];
  for (let i = 0; i < n; i++) {
    let x = -Math.cos((Math.PI * (i + 0.75)) / (n + 0.5)); // within the reach of Newton's method for every root
    for (let pass = 0; pass < 8; pass++) {
      const [value, slope] = legendre(n, x);
      x -= value / slope;
    }
    if (2 * i + 1 === n) x = 0;
    const slope = legendre(n, x)[1];
    nodes.push(x);
    weights.push(2 / ((1 - x * x) * slope * slope));
  }
  return { nodes, weights };
}

/** Pₙ(x) and its derivative, by the three-term recurrence. */
function legendre(n: number, x: number): [number, number] {
  let before = 1;
  let value = x;
  for (let k = 2; k <= n; k++) {
    const next = ((2 * k - 1) * x * value - (k - 1) * before) / k;
    before = value;
    value = next;
  }
  return [value, (n * (x * value - before)) / (x * x - 1)];
}
