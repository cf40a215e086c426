import stdlibIncompleteGamma from '@stdlib/math-base-special-gammainc';
import stdlibChiSquareQuantile from '@stdlib/stats-base-dists-chisquare-quantile';
import stdlibFCdf from '@stdlib/stats-base-dists-f-cdf';
import stdlibNormalCdf from '@stdlib/stats-base-dists-normal-cdf';
import stdlibNormalQuantile from '@stdlib/stats-base-dists-normal-quantile';
import stdlibTCdf from '@stdlib/stats-base-dists-t-cdf';
import stdlibTQuantile from '@stdlib/stats-base-dists-t-quantile';
import { DomainError, requireNonNegative, requirePositive } from '../numeric/domain-error.ts';

/*
 * The distributions that estimates and tests are made of; the one file that knows where they come from.
 * "Area" is always the lower tail, P(X ≤ x). Throws: DomainError for arguments outside the distribution.
 * Evidence: printed tables of t, F, chi-square and normal, and closed forms.
 */

/** P(Z ≤ z) of the standard normal distribution. */
export function normalCdf(z: number): number {
  requireNumber('z', z);
  return stdlibNormalCdf(z, 0, 1);
}

/** z of the standard normal distribution with area p below it; 0 < p < 1. */
export function normalQuantile(p: number): number {
  requireArea(p);
  return stdlibNormalQuantile(p, 0, 1);
}

/** P(T ≤ t) of Student's t; degrees of freedom above zero, whole or not. */
export function tCdf(t: number, degreesOfFreedom: number): number {
  requireNumber('t', t);
  requirePositive('degreesOfFreedom', degreesOfFreedom, '-');
  return stdlibTCdf(t, degreesOfFreedom);
}

/** t with area p below it; infinite degrees of freedom give the normal quantile. */
export function tQuantile(p: number, degreesOfFreedom: number): number {
  requireArea(p);
  if (degreesOfFreedom === Number.POSITIVE_INFINITY) return normalQuantile(p);
  requirePositive('degreesOfFreedom', degreesOfFreedom, '-');
  return stdlibTQuantile(p, degreesOfFreedom);
}

/** Degrees of freedom of a ratio of variances: numerator and denominator. */
export interface FDegrees {
  readonly numerator: number;
  readonly denominator: number;
}

/** P(F ≤ f) of the variance ratio. */
export function fCdf(f: number, degrees: FDegrees): number {
  requireNonNegative('f', f, '-');
  requirePositive('numerator', degrees.numerator, '-');
  requirePositive('denominator', degrees.denominator, '-');
  return stdlibFCdf(f, degrees.numerator, degrees.denominator);
}

/** P(F > f), without the loss of digits that 1 − P(F ≤ f) has for large f: the lower tail of 1/F. */
export function fTail(f: number, degrees: FDegrees): number {
  requireNonNegative('f', f, '-');
  if (f === 0) return 1;
  return fCdf(1 / f, { numerator: degrees.denominator, denominator: degrees.numerator });
}

/** χ² with area p below it. */
export function chiSquareQuantile(p: number, degreesOfFreedom: number): number {
  requireArea(p);
  requirePositive('degreesOfFreedom', degreesOfFreedom, '-');
  return stdlibChiSquareQuantile(p, degreesOfFreedom);
}

/** P(χ² > x), without the loss of digits that 1 − P(χ² ≤ x) has for large x: Q(ν/2, x/2) of the incomplete gamma function. */
export function chiSquareTail(x: number, degreesOfFreedom: number): number {
  requireNonNegative('x', x, '-');
  requirePositive('degreesOfFreedom', degreesOfFreedom, '-');
  return stdlibIncompleteGamma(x / 2, degreesOfFreedom / 2, true, true);
}

function requireArea(p: number): void {
  if (!(p > 0 && p < 1)) throw new DomainError('p', p, '-', 'between 0 and 1');
}

function requireNumber(name: string, value: number): void {
  if (Number.isNaN(value)) throw new DomainError(name, value, '-', 'a number');
}
