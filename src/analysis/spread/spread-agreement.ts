/** Whether the two ways to the spread agree. */
export interface SpreadAgreement {
  /** Null where the samples are too few to tell. */
  readonly agrees: boolean | null;
  /** Half a unit of the first digit of the standard uncertainty [m³]. */
  readonly tolerance: number;
  /** Between the lower and between the upper ends of the intervals [m³]. */
  readonly lowDifference: number;
  readonly highDifference: number;
  /** Standard error of an end of the Monte Carlo interval [m³]. */
  readonly intervalError: number;
  /** Monte Carlo over first order. */
  readonly standardDeviationRatio: number | null;
  readonly meanShift: number; // [m³]
}

/** One result as first order and as Monte Carlo have it [m³]. */
export interface TwoWays {
  readonly first: { readonly mean: number; readonly uncertainty: number };
  readonly run: {
    readonly mean: number;
    readonly standardDeviation: number;
    readonly interval: readonly [number, number];
  };
  readonly samples: number;
  /** What rounding is measured by: the shot. */
  readonly scale: number;
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
export function spreadAgreement({ first, run, samples, scale }: TwoWays): SpreadAgreement {
  const u = first.uncertainty;
  const tolerance = u > 0 ? leadingUnit(u) / 2 : 0;
  const error = (QUANTILE_ERROR * run.standardDeviation) / Math.sqrt(samples);
  const interval = normalInterval(first.mean, u);
  const [low, high] = [Math.abs(interval[0] - run.interval[0]), Math.abs(interval[1] - run.interval[1])];
  const within = Math.max(low, high) <= tolerance + 2 * error + 1e-9 * scale;
  return {
    agrees: error > tolerance ? null : within,
    tolerance,
    lowDifference: low,
    highDifference: high,
    intervalError: error,
    standardDeviationRatio: u > 0 ? run.standardDeviation / u : null,
    meanShift: run.mean - first.mean,
  };
}

const TWO_SIDED = 1.959963984540054; // 97.5 % of the normal distribution

/** The 95 % interval of a normal distribution, in the unit of both. */
export function normalInterval(mean: number, uncertainty: number): [number, number] {
  return [mean - TWO_SIDED * uncertainty, mean + TWO_SIDED * uncertainty];
}

/** 10^l where the number, rounded to one digit, is c·10^l: 0.31 gives 0.1, 0.97 gives 1. */
function leadingUnit(value: number): number {
  return 10 ** Math.floor(Math.log10(Number(value.toPrecision(1))) + 1e-12);
}
