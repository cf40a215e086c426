import { LIMIT_GRACE } from './limits.ts';

/**
 * Settings as a station holds them: whole multiples of its resolution. Counted in integers, so that 53 steps of 0.01 s
 * are 0.53 s and not 0.5300000000000001 s.
 */

/** Digits kept of a setting: far finer than any station, coarse enough to hide binary rounding. */
const DIGITS = 12;

/** The setting [unit of step] that is `count` steps. */
export function gridValue(count: number, step: number): number {
  return Number((count * step).toPrecision(DIGITS));
}

/** First and last whole number of steps between two limits, both inclusive; first > last when there is none between. */
export function gridRange({ min, max, step }: { min: number; max: number; step: number }): {
  first: number;
  last: number;
} {
  return { first: Math.ceil(min / step - stepGrace(min, step)), last: Math.floor(max / step + stepGrace(max, step)) };
}

/** Whether a value is a whole number of steps, to the grace. */
export function isOnGrid(value: number, step: number): boolean {
  const count = value / step;
  return Math.abs(count - Math.round(count)) <= stepGrace(value, step);
}

/**
 * The largest unit of which both steps are whole multiples: `first = unit·firstCount`, `second = unit·secondCount`.
 * Found by Euclid's algorithm with a grace for binary rounding; two steps without a common unit above a millionth of
 * the smaller share that millionth, which no station can tell from exact.
 */
export function commonUnit(first: number, second: number): { unit: number; firstCount: number; secondCount: number } {
  const smaller = Math.min(first, second);
  let a = Math.max(first, second);
  let b = smaller;
  while (b > smaller * 1e-6) {
    const rest = a - Math.round(a / b) * b;
    a = b;
    b = Math.abs(rest);
  }
  const firstCount = Math.round(first / a);
  return { unit: first / firstCount, firstCount, secondCount: Math.max(1, Math.round(second / (first / firstCount))) };
}

function stepGrace(value: number, step: number): number {
  return Math.max(1e-9, (Math.abs(value) / step) * LIMIT_GRACE);
}
