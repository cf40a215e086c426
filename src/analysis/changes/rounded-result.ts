/** How far a result is meaningful: significant digits, and the step below which it is noise [unit of the result]. */
export interface Rounding {
  readonly digits: number;
  readonly least: number;
}

/** What results are rounded to when they are put on record. */
export const ROUNDING = {
  /** More than any model or measurement here can claim. */
  computed: { digits: 4, least: 1e-9 },
  /** A share in percent: a residue of 1e-14 is zero. */
  percent: { digits: 4, least: 1e-3 },
  /** What is set on a station, and has that many digits itself. */
  setting: { digits: 6, least: 1e-9 },
} as const satisfies Record<string, Rounding>;

/** A move by this share of the last digit is one: half is rounding, a little more the rounding of binary fractions. */
const MOVED = 0.501;

/** The value at its rounding. */
export function roundedResult(value: number, rounding: Rounding): number {
  const step = stepOf(value, rounding);
  return Number((Math.round(value / step) * step).toPrecision(12));
}

/**
 * True when a value is not the one that `recorded` was rounded from. Judged by distance and not by rounding again: a value
 * that lies between two roundings must not flip with the last bit of another machine's arithmetic.
 */
export function hasMoved(recorded: number, value: number, rounding: Rounding): boolean {
  return Math.abs(value - recorded) > MOVED * Math.max(stepOf(recorded, rounding), stepOf(value, rounding));
}

/** One unit of the last digit that counts. */
function stepOf(value: number, { digits, least }: Rounding): number {
  if (value === 0) return least;
  return Math.max(least, 10 ** (Math.floor(Math.log10(Math.abs(value))) - digits + 1));
}
