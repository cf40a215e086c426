import { DomainError } from '../numeric/domain-error.ts';
import { mean, standardDeviation } from './descriptive.ts';
import { tQuantile } from './distributions.ts';

export interface Interval {
  readonly low: number;
  readonly high: number;
}

/**
 * Two-sided confidence interval of the mean of normal values, in their unit: x̄ ± t·s/√n.
 * Throws: DomainError for fewer than two values or a confidence outside 0 to 1.
 * Source: JCGM 100:2008, G.3.
 * Evidence: JCGM 100 4.4.3 (mean, s and s/√n), t from tables.
 */
export function meanInterval(values: ArrayLike<number>, confidence = 0.95): Interval & { mean: number } {
  requireShare('confidence', confidence);
  const centre = mean(values);
  const half =
    (tQuantile((1 + confidence) / 2, values.length - 1) * standardDeviation(values)) / Math.sqrt(values.length);
  return { mean: centre, low: centre - half, high: centre + half };
}

/**
 * Shortest interval that holds a share of the draws of a Monte Carlo run, in their unit.
 *
 *   q = round(share·n);  the r with the least y₍ᵣ₊q₎ − y₍ᵣ₎ over the ordered draws (the first where several are equal)
 *
 * Shape: any number of draws from two on, in any order; they are not changed. Draws that are sorted already: `sorted`.
 * Throws: DomainError for fewer than two draws or a share that leaves none outside.
 * Source: JCGM 101:2008, 7.7 and 5.3.4.
 * Evidence: JCGM 101 9.2 and 9.5; by hand for a skewed handful.
 */
export function shortestInterval(draws: ArrayLike<number>, share = 0.95, sorted = false): Interval {
  requireShare('share', share);
  const y = sorted ? draws : Float64Array.from(draws).sort();
  const q = Math.round(share * y.length);
  if (y.length < 2 || q < 1 || q > y.length - 1) {
    throw new DomainError('draws', y.length, '-', `enough for an interval of ${share}`);
  }
  let best = 0;
  for (let r = 1; r + q < y.length; r++) if (y[r + q]! - y[r]! < y[best + q]! - y[best]!) best = r;
  return { low: y[best]!, high: y[best + q]! };
}

function requireShare(name: string, value: number): void {
  if (!(value > 0 && value < 1)) throw new DomainError(name, value, '-', 'between 0 and 1');
}
