import { DomainError, requirePositive } from '../numeric/domain-error.ts';
import { controlConstants } from './control-constants.ts';
import { compensatedSum, mean, spanOf, standardDeviation } from './descriptive.ts';

/** Individuals and moving range; mean and range; mean and standard deviation; exponentially weighted moving average. */
export type ChartKind = 'imr' | 'xbar-r' | 'xbar-s' | 'ewma';

export interface ControlChartInput {
  readonly kind: ChartKind;
  /** One list of readings a subgroup, in order; single readings for `imr`. Sizes may differ. */
  readonly subgroups: readonly (readonly number[])[];
  /** Centre line given beforehand; default: the mean of all readings. */
  readonly target?: number;
  /** Standard deviation of one reading given beforehand; default: the one within subgroups. */
  readonly sigma?: number;
  /** Weight of the newest point of an `ewma`, above 0 and up to 1. */
  readonly lambda?: number;
}

/** Defaults of `controlChart`. */
export const CHART_DEFAULTS = { lambda: 0.2 };

export interface ChartPoint {
  readonly value: number;
  readonly lower: number;
  readonly upper: number;
  /** (value − centre) / standard deviation of the point. */
  readonly z: number;
}

export interface SpreadPoint {
  /** Range, moving range or standard deviation; null where there is none (first moving range, subgroup of one). */
  readonly value: number | null;
  readonly lower: number;
  readonly upper: number;
}

export interface ControlChart {
  readonly kind: ChartKind;
  readonly center: number;
  /** Standard deviation of one reading within subgroups. */
  readonly sigma: number;
  /** Degrees of freedom that `sigma` is worth; infinite when it was given. */
  readonly sigmaDegrees: number;
  /** Three-sigma limits; for an EWMA the steady ones, for unequal subgroups those of the most frequent size. */
  readonly limits: { readonly lower: number; readonly upper: number };
  readonly points: readonly ChartPoint[];
  readonly range: { readonly center: number; readonly lower: number; readonly upper: number };
  readonly spread: readonly SpreadPoint[];
  /** Standard deviation (n − 1) of all readings together. */
  readonly overall: number;
}

/**
 * Control chart of readings in subgroups, in their unit.
 *
 *   points   x̄ᵢ, or zᵢ = λ·x̄ᵢ + (1 − λ)·zᵢ₋₁ from z₀ = centre
 *   limits   centre ± 3·σ/√nᵢ, for the EWMA ± 3·σ/√n·√(λ/(2 − λ)·(1 − (1 − λ)^(2i)))
 *   σ        imr, and ewma of single readings: mean moving range / d2(2); xbar-r, and ewma of subgroups: ranges / d2;
 *            xbar-s: standard deviations / c4; unequal subgroups weighted for the least variance
 *
 * Valid for: normal readings, independent of each other.
 * Throws: DomainError for fewer than two subgroups, an empty one, single readings in every subgroup of xbar-r or xbar-s, more than
 * one reading a subgroup in imr, λ outside (0, 1], or readings without any scatter when σ is not given.
 * Source: NIST/SEMATECH e-Handbook 6.3.2; Montgomery, Introduction to Statistical Quality Control, ch. 6 and 9; Burr,
 * J. Qual. Technol. 1 (1969) 163 (weights for unequal sizes).
 * Evidence: NIST 6.3.2.2 and 6.3.2.4, Montgomery's hard-bake data.
 */
export function controlChart(input: ControlChartInput): ControlChart {
  check(input);
  const { kind, subgroups } = input;
  const readings = subgroups.flat();
  const center = input.target ?? mean(readings);
  const spread = spreadsOf(input);
  const estimate = sigmaOf(input, spread);
  const sigma = input.sigma ?? estimate?.sigma;
  if (sigma === undefined) throw new DomainError('subgroups', 0, '-', 'with scatter, or sigma given');
  const usual = mostFrequent(subgroups.map(g => g.length));
  const lambda = kind === 'ewma' ? (input.lambda ?? CHART_DEFAULTS.lambda) : 1;
  const steady = (3 * sigma * Math.sqrt(lambda / (2 - lambda))) / Math.sqrt(usual);
  return {
    kind,
    center,
    sigma,
    sigmaDegrees: input.sigma === undefined ? estimate!.degrees : Number.POSITIVE_INFINITY,
    limits: { lower: center - steady, upper: center + steady },
    points: pointsOf(subgroups, { center, sigma, lambda }),
    range: spreadLimits(kind, usual, sigma),
    spread: spread.map((value, i) => {
      const { lower, upper } = spreadLimits(kind, subgroups[i]!.length, sigma);
      return { value, lower, upper };
    }),
    overall: standardDeviation(readings),
  };
}

function check(input: ControlChartInput): void {
  const { kind, subgroups, lambda, sigma } = input;
  if (subgroups.length < 2) throw new DomainError('subgroups', subgroups.length, '-', 'two or more in number');
  const sizes = subgroups.map(g => g.length);
  if (sizes.some(n => n === 0)) throw new DomainError('subgroup', 0, '-', 'not empty');
  const largest = Math.max(...sizes);
  if (kind === 'imr' && largest > 1)
    throw new DomainError('subgroup', largest, '-', 'one reading, on a chart of individuals');
  if ((kind === 'xbar-r' || kind === 'xbar-s') && largest < 2)
    throw new DomainError('subgroup', 1, '-', 'two readings or more');
  if (lambda !== undefined && !(lambda > 0 && lambda <= 1))
    throw new DomainError('lambda', lambda, '-', 'above 0 and at most 1');
  if (sigma !== undefined) requirePositive('sigma', sigma, 'the unit of the readings');
}

/** Whether the spread comes from moving ranges of single readings. */
function singles(input: ControlChartInput): boolean {
  return input.subgroups.every(g => g.length === 1);
}

function spreadsOf(input: ControlChartInput): (number | null)[] {
  const { kind, subgroups } = input;
  if (singles(input)) return subgroups.map((g, i) => (i === 0 ? null : Math.abs(g[0]! - subgroups[i - 1]![0]!)));
  return subgroups.map(g => (g.length < 2 ? null : kind === 'xbar-s' ? standardDeviation(g) : spanOf(g)));
}

/** Within-subgroup standard deviation and the degrees of freedom it is worth; null without scatter. */
function sigmaOf(
  input: ControlChartInput,
  spread: readonly (number | null)[],
): { sigma: number; degrees: number } | null {
  const single = singles(input);
  const known = spread.flatMap((value, i) => {
    if (value === null) return [];
    const { d2, d3, c4 } = controlConstants(single ? 2 : input.subgroups[i]!.length);
    return [
      input.kind === 'xbar-s' ? { value, unbias: c4, sd: Math.sqrt(1 - c4 * c4) } : { value, unbias: d2, sd: d3 },
    ];
  });
  const weights = known.map(s => (s.unbias / s.sd) ** 2);
  const all = compensatedSum(weights);
  const sigma = compensatedSum(known.map((s, i) => (weights[i]! * s.value) / s.unbias)) / all;
  if (!(sigma > 0)) return null;
  return { sigma, degrees: degreesWorth(single ? movingRangeVariance(known.length) : 1 / all) };
}

/**
 * Relative variance of σ estimated from the mean of m overlapping moving ranges of independent normal readings.
 *
 * Each |difference| of standard readings has mean 2/√π and variance 2 − 4/π; neighbours, whose correlation is −½, have the
 * covariance (4/π)(√¾ + ½·asin ½) − 4/π (Nabeya's absolute moment of the bivariate normal).
 */
function movingRangeVariance(m: number): number {
  const covariance = (4 / Math.PI) * (Math.sqrt(0.75) + Math.PI / 12 - 1);
  return ((2 - 4 / Math.PI) * m + 2 * covariance * (m - 1)) / (m * m) / (4 / Math.PI);
}

/** Degrees of freedom whose sample standard deviation, made free of bias, has this relative variance: (1 − c4²)/c4². */
function degreesWorth(relativeVariance: number): number {
  // (1 − c4²)/c4² ≈ 1/(2ν) + 1/(8ν²) for ν degrees of freedom (expansion of the gamma functions).
  return (1 + Math.sqrt(1 + 2 * relativeVariance)) / (4 * relativeVariance);
}

function pointsOf(
  subgroups: readonly (readonly number[])[],
  line: { center: number; sigma: number; lambda: number },
): ChartPoint[] {
  const { center, sigma, lambda } = line;
  let value = center;
  let variance = 0; // of the point, in σ²
  return subgroups.map(g => {
    value = lambda * mean(g) + (1 - lambda) * value;
    variance = (lambda * lambda) / g.length + (1 - lambda) ** 2 * variance;
    const sd = sigma * Math.sqrt(variance);
    return { value, lower: center - 3 * sd, upper: center + 3 * sd, z: (value - center) / sd };
  });
}

function spreadLimits(kind: ChartKind, size: number, sigma: number): { center: number; lower: number; upper: number } {
  const c = controlConstants(Math.max(size, 2));
  if (kind === 'xbar-s') return { center: c.c4 * sigma, lower: c.B5 * sigma, upper: c.B6 * sigma };
  return { center: c.d2 * sigma, lower: c.D1 * sigma, upper: c.D2 * sigma };
}

/** The most frequent size; of several, the largest. */
function mostFrequent(sizes: readonly number[]): number {
  const counts = new Map<number, number>();
  for (const n of sizes) counts.set(n, (counts.get(n) ?? 0) + 1);
  return [...counts].sort((a, b) => b[1] - a[1] || b[0] - a[0])[0]![0];
}
