import { DomainError, requirePositive } from '../numeric/domain-error.ts';
import { findRoot } from '../numeric/root.ts';
import { fCdf } from './distributions.ts';
import type { Interval } from './intervals.ts';

/** So many of so many; a count may be less than whole, as one divided by a design effect is. */
export interface Proportion {
  readonly count: number;
  readonly of: number;
}

/**
 * Two-sided interval [-] of a proportion that holds the true one with at least `confidence`; where none were seen, the one-sided
 * upper bound with that confidence.
 *
 *   Clopper–Pearson: P(Beta(x, n − x + 1) ≤ low) = P(Beta(x + 1, n − x) > high) = (1 − confidence)/2
 *   none of n: 1 − (1 − confidence)^(1/n), near 3/n for 95 % (the rule of three)
 *
 * Throws: DomainError for nothing to count in, or a count outside it.
 * Source: Clopper & Pearson, Biometrika 26 (1934) 404; NIST/SEMATECH e-Handbook 7.2.4.1 for exact intervals; Hanley & Lippman-Hand,
 * JAMA 249 (1983) 1743, for the rule of three (from memory).
 * Evidence: binomial tails at both ends are 2.5 %; published intervals.
 */
export function proportionInterval({ count, of }: Proportion, confidence = 0.95): Interval {
  requirePositive('of', of, '-');
  if (!(count >= 0 && count <= of)) throw new DomainError('count', count, '-', `between 0 and ${of}`);
  if (count === 0) return { low: 0, high: noneSeen(of, confidence) };
  const tail = (1 - confidence) / 2;
  const low = betaQuantile(tail, count, of - count + 1);
  return { low, high: count === of ? 1 : betaQuantile(1 - tail, count + 1, of - count) };
}

/** Upper bound [-] of a proportion of which none of n were seen. */
export function noneSeen(n: number, confidence = 0.95): number {
  requirePositive('n', n, '-');
  return -Math.expm1(Math.log1p(-confidence) / n);
}

/** x with area p of the beta distribution below it, through the F distribution. */
function betaQuantile(p: number, a: number, b: number): number {
  const area = (x: number) => fCdf((b * x) / (a * (1 - x)), { numerator: 2 * a, denominator: 2 * b });
  const middle = a / (a + b);
  const up = area(middle) < p;
  if (up) return findRoot(x => area(x) - p, middle, 1 - 1e-16, { relative: 1e-12 });
  return findRoot(x => area(x) - p, middle * 1e-12, middle, { relative: 1e-12 });
}

/**
 * Design effect [-] of a proportion counted in clusters: its variance over that of as many single ones, at least 1.
 *
 *   deff = k/(k − 1)·Σ(xᵢ − p·mᵢ)²/(p·(1 − p)·Σmᵢ);  of clusters of one size m: 1 + (m − 1)·ρ
 *
 * Shape: counts and sizes of the clusters, side by side. One for a proportion of none or of all.
 * Source: Kish, Survey Sampling (1965), 5.4 and 8.2; Cochran, Sampling Techniques, 9A and 11 (from memory).
 * Evidence: clusters alike inside give their size; clusters of one give 1.
 */
export function designEffect(counts: ArrayLike<number>, sizes: ArrayLike<number>): number {
  let [clusters, total, seen] = [0, 0, 0];
  for (let i = 0; i < sizes.length; i++) {
    if (sizes[i]! > 0) clusters++;
    total += sizes[i]!;
    seen += counts[i]!;
  }
  const p = seen / total;
  if (clusters < 2 || !(p > 0 && p < 1)) return 1;
  let squares = 0;
  for (let i = 0; i < sizes.length; i++) squares += (counts[i]! - p * sizes[i]!) ** 2;
  return Math.max(1, ((clusters / (clusters - 1)) * squares) / (p * (1 - p) * total));
}
