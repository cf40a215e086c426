import { DomainError, requirePositive } from '../numeric/domain-error.ts';
import { mean, standardDeviation, variance } from './descriptive.ts';
import { chiSquareQuantile, tCdf, tQuantile } from './distributions.ts';

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
 * Two-sided confidence interval of a standard deviation: s·√(ν/χ²).
 * Throws: DomainError for arguments that are not positive.
 * Source: any text on normal samples, e.g. NIST/SEMATECH e-Handbook 7.2.3.1.
 * Evidence: χ² from tables.
 */
export function standardDeviationInterval(s: { sd: number; degreesOfFreedom: number; confidence?: number }): Interval {
  requirePositive('degreesOfFreedom', s.degreesOfFreedom, '-');
  const confidence = s.confidence ?? 0.95;
  requireShare('confidence', confidence);
  const bound = (p: number): number => s.sd * Math.sqrt(s.degreesOfFreedom / chiSquareQuantile(p, s.degreesOfFreedom));
  return { low: bound((1 + confidence) / 2), high: bound((1 - confidence) / 2) };
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

/** Comparison of two means whose variances may differ. */
export interface WelchTest {
  readonly difference: number;
  readonly standardError: number;
  readonly t: number;
  readonly degreesOfFreedom: number;
  /** Two-sided. */
  readonly p: number;
  readonly low: number;
  readonly high: number;
}

/**
 * Welch's t-test of the difference of two means (a − b), with its confidence interval, in the unit of the values.
 * Throws: DomainError for fewer than two values on a side, or no scatter at all.
 * Source: Welch, Biometrika 34 (1947) 28; NIST/SEMATECH e-Handbook 7.3.1.
 * Evidence: by hand with equal sizes and variances, where it is Student's test.
 */
export function welchTest(a: ArrayLike<number>, b: ArrayLike<number>, confidence = 0.95): WelchTest {
  requireShare('confidence', confidence);
  const va = variance(a) / a.length;
  const vb = variance(b) / b.length;
  const standardError = Math.sqrt(va + vb);
  requirePositive('standard error', standardError, '-');
  const degreesOfFreedom = (va + vb) ** 2 / (va ** 2 / (a.length - 1) + vb ** 2 / (b.length - 1));
  const difference = mean(a) - mean(b);
  const t = difference / standardError;
  const half = tQuantile((1 + confidence) / 2, degreesOfFreedom) * standardError;
  return {
    difference,
    standardError,
    t,
    degreesOfFreedom,
    p: 2 * tCdf(-Math.abs(t), degreesOfFreedom),
    low: difference - half,
    high: difference + half,
  };
}

function requireShare(name: string, value: number): void {
  if (!(value > 0 && value < 1)) throw new DomainError(name, value, '-', 'between 0 and 1');
}
