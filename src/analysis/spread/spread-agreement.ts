/** Whether the two ways to the spread agree. */
export interface SpreadAgreement {
  /** Null where the samples are too few to tell. */
  readonly agrees: boolean | null;
  /** Half a unit of the first digit of the standard uncertainty. */
  readonly tolerance_uL: number;
  /** Between the lower and between the upper ends of the intervals. */
  readonly low_difference_uL: number;
  readonly high_difference_uL: number;
  /** Standard error of an end of the Monte Carlo interval. */
  readonly interval_error_uL: number;
  /** Monte Carlo over first order. */
  readonly standard_deviation_ratio: number | null;
  readonly mean_shift_uL: number;
}

/** One result as first order and as Monte Carlo have it [uL]. */
export interface TwoWays {
  readonly first: {
    readonly mean_uL: number;
    readonly standard_uncertainty_uL: number;
    readonly interval_uL: readonly [number, number];
  };
  readonly run: {
    readonly mean_uL: number;
    readonly standard_deviation_uL: number;
    readonly interval_uL: readonly [number, number];
  };
  readonly samples: number;
  /** What rounding is measured by: the shot. */
  readonly scale_uL: number;
}

/** √(p(1 − p))/φ(z) at p = 2.5 %: standard error of a normal 2.5 % quantile, times √n over the standard deviation. */
const QUANTILE_ERROR = 2.671;

/**
 * First order is validated where both ends of its 95 % interval lie within δ of those of Monte Carlo.
 *
 *   u = c·10^l with one digit c, δ = 10^l/2
 *
 * The ends of the Monte Carlo interval have an error of their own, about 2.7·u/√n: twice that is added to δ, and where it is
 * more than δ there is no verdict.
 * Source: JCGM 101:2008, 8.1 with one significant digit, and 7.9.2 for δ (from memory).
 */
export function spreadAgreement({ first, run, samples, scale_uL }: TwoWays): SpreadAgreement {
  const u = first.standard_uncertainty_uL;
  const tolerance = u > 0 ? leadingUnit(u) / 2 : 0;
  const error = (QUANTILE_ERROR * run.standard_deviation_uL) / Math.sqrt(samples);
  const low = Math.abs(first.interval_uL[0] - run.interval_uL[0]);
  const high = Math.abs(first.interval_uL[1] - run.interval_uL[1]);
  const within = Math.max(low, high) <= tolerance + 2 * error + 1e-9 * scale_uL;
  return {
    agrees: error > tolerance ? null : within,
    tolerance_uL: tolerance,
    low_difference_uL: low,
    high_difference_uL: high,
    interval_error_uL: error,
    standard_deviation_ratio: u > 0 ? run.standard_deviation_uL / u : null,
    mean_shift_uL: run.mean_uL - first.mean_uL,
  };
}

/** 10^l where the number, rounded to one digit, is c·10^l: 0.31 gives 0.1, 0.97 gives 1. */
function leadingUnit(value: number): number {
  return 10 ** Math.floor(Math.log10(Number(value.toPrecision(1))) + 1e-12);
}
