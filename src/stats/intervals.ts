import { DomainError } from '../numeric/domain-error.ts';

export interface Interval {
  readonly low: number;
  readonly high: number;
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
