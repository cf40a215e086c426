import { DomainError } from '../numeric/domain-error.ts';

/** Sum with the rounding errors carried along (Neumaier, Z. Angew. Math. Mech. 54 (1974) 39): as if in twice the digits. */
export function compensatedSum(values: ArrayLike<number>): number {
  let sum = 0;
  let lost = 0;
  for (let i = 0; i < values.length; i++) {
    const v = values[i]!;
    const t = sum + v;
    lost += Math.abs(sum) >= Math.abs(v) ? sum - t + v : v - t + sum;
    sum = t;
  }
  return sum + lost;
}

/**
 * Arithmetic mean, in the unit of the values.
 * Throws: DomainError for no values.
 * Evidence: StRD Lew, NumAcc1, NumAcc4 to all digits that the data keep in binary.
 */
export function mean(values: ArrayLike<number>): number {
  requireAtLeast(values, 1);
  const first = compensatedSum(values) / values.length;
  return first + compensatedSum(Float64Array.from(values, v => v - first)) / values.length;
}

/**
 * Sample variance (n − 1), in the square of the unit of the values: two passes, the second corrected for the mean's rounding.
 * Throws: DomainError for fewer than two values.
 * Source: Chan, Golub & LeVeque, Am. Stat. 37 (1983) 242.
 * Evidence: StRD Lew, NumAcc1, NumAcc4.
 */
function variance(values: ArrayLike<number>): number {
  requireAtLeast(values, 2);
  const centre = mean(values);
  const deviations = Float64Array.from(values, v => v - centre);
  const squares = compensatedSum(deviations.map(d => d * d));
  return (squares - compensatedSum(deviations) ** 2 / values.length) / (values.length - 1);
}

/** Sample standard deviation (n − 1), in the unit of the values. Throws: DomainError for fewer than two values. */
export function standardDeviation(values: ArrayLike<number>): number {
  return Math.sqrt(variance(values));
}

/**
 * Quantile, type 7: linear between order statistics, x₍ₕ₎ at h = (n − 1)p + 1.
 * Throws: DomainError for no values or p outside 0 to 1.
 * Source: Hyndman & Fan, Am. Stat. 50 (1996) 361.
 * Evidence: by hand for four values; the median.
 */
export function quantile(values: ArrayLike<number>, p: number): number {
  requireAtLeast(values, 1);
  if (!(p >= 0 && p <= 1)) throw new DomainError('p', p, '-', 'from 0 to 1');
  const sorted = Float64Array.from(values).sort();
  const h = (sorted.length - 1) * p;
  const low = Math.floor(h);
  const high = Math.min(low + 1, sorted.length - 1);
  return sorted[low]! + (h - low) * (sorted[high]! - sorted[low]!);
}

/** Middle value (quantile type 7 at one half), in the unit of the values. */
export function median(values: ArrayLike<number>): number {
  return quantile(values, 0.5);
}

/** Greatest less least value. Throws: DomainError for no values. */
export function spanOf(values: ArrayLike<number>): number {
  requireAtLeast(values, 1);
  let least = values[0]!;
  let greatest = values[0]!;
  for (let i = 1; i < values.length; i++) {
    least = Math.min(least, values[i]!);
    greatest = Math.max(greatest, values[i]!);
  }
  return greatest - least;
}

function requireAtLeast(values: ArrayLike<number>, count: number): void {
  if (values.length < count) throw new DomainError('values', values.length, '-', `${count} or more in number`);
}
