import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import type { LeastSquaresFit, LeastSquaresProblem } from '../../numeric/least-squares.ts';
import { type ProfileInterval, profileInterval } from '../../numeric/profile-interval.ts';
import { correctedAkaike } from '../../stats/corrected-akaike.ts';
import { tCdf, tQuantile } from '../../stats/distributions.ts';

/** One parameter of a fit as results show it, in the unit of its name. */
export interface FitEstimate {
  readonly name: string;
  readonly estimate: number;
  /** 95 % interval of the profile likelihood; null for a fixed one, where the data give none, and at a side that is open. */
  readonly low: number | null;
  readonly high: number | null;
  /** The side at which the data set no end, however far the parameter goes; null: none. */
  readonly open: 'low' | 'high' | 'both' | null;
  readonly standard_error: number | null;
  readonly fixed: boolean;
  /** It ended at the end of its physical range. */
  readonly at_bound: boolean;
}

/** How a parameter of a fit is shown. */
export interface ShownParameter {
  readonly name: string;
  /** Shown number per number of the fit. */
  readonly scale: number;
  readonly fixed: boolean;
}

/** Estimates with 95 % intervals. */
export function estimatesOf(
  fit: LeastSquaresFit,
  shown: readonly ShownParameter[],
  profiles: readonly (ProfileInterval | null)[],
): FitEstimate[] {
  return shown.map(({ name, scale, fixed }, k) => {
    const at_bound = fit.atBound.includes(k);
    const error = fixed || at_bound || fit.standardErrors === null ? null : fit.standardErrors[k]!;
    const profile = profiles[k] ?? null;
    return {
      name,
      estimate: fit.parameters[k]! * scale,
      low: profile === null || profile.low === null ? null : profile.low * scale,
      high: profile === null || profile.high === null ? null : profile.high * scale,
      open: openSide(profile),
      standard_error: error === null ? null : error * scale,
      fixed,
      at_bound,
    };
  });
}

function openSide(profile: ProfileInterval | null): FitEstimate['open'] {
  if (profile === null) return null;
  if (profile.low === null) return profile.high === null ? 'both' : 'low';
  return profile.high === null ? 'high' : null;
}

/**
 * 95 % profile likelihood interval of every parameter that is fitted: S ≤ S₀·(1 + t²/ν). Null for one that is kept, and for all where
 * there are no degrees of freedom. Where only rounding scatters, the interval of straight lines, which is as narrow.
 */
export function profilesOf(problem: LeastSquaresProblem, fit: LeastSquaresFit): (ProfileInterval | null)[] {
  const nu = fit.degreesOfFreedom;
  const t = nu > 0 && fit.converged ? tQuantile(0.975, nu) : null;
  const limit = t === null ? 0 : fit.sumOfSquares * (1 + t ** 2 / nu);
  return problem.parameters.map((p, parameter) => {
    if (p.fixed || t === null) return null;
    if ((fit.residualSd ?? 0) > ROUNDING) return profileInterval({ problem, fit, parameter, limit });
    if (fit.standardErrors === null || fit.atBound.includes(parameter)) return null;
    const [value, half] = [fit.parameters[parameter]!, t * fit.standardErrors[parameter]!];
    return { low: value - half, high: value + half, better: null };
  });
}

/** Scatter below this is rounding, not measurement [-]. */
export const ROUNDING = 1e-9;

/**
 * AICc of a fit in relative residuals; a scatter below {@link ROUNDING} counts as that much, or the digits that rounding leaves would
 * choose between models that all hold the data exactly.
 */
export function aiccOf(fit: { sumOfSquares: number; count: number; parameters: number }): number | null {
  return correctedAkaike({ ...fit, sumOfSquares: Math.max(fit.sumOfSquares, fit.count * ROUNDING ** 2) });
}

/** Order by AICc, the least first, those without one last; what differs by less than rounding keeps its order. */
export function byAicc(a: { readonly aicc: number | null }, b: { readonly aicc: number | null }): number {
  const rank = (aicc: number | null): number => (aicc === null ? Number.MAX_VALUE : Math.round(aicc * 1e6));
  return rank(a.aicc) - rank(b.aicc);
}

/** A row's leverage above which the fit hangs on it [-]. */
const GREAT_LEVERAGE = 0.9;

/**
 * Rows that stand apart, by their place in the list: externally studentised residuals beyond the 5 % point of the t
 * distribution, shared out among all rows (Bonferroni).
 * Source: Cook & Weisberg, Residuals and Influence in Regression, 1982, sec. 2.2.
 */
export function outliers(fit: LeastSquaresFit): number[] {
  const nu = fit.degreesOfFreedom;
  const n = fit.residuals.length;
  if (nu < 2 || fit.residualSd === null || fit.residualSd < ROUNDING) return [];
  return Array.from(fit.residuals.keys()).filter(i => {
    const left = 1 - fit.leverage[i]!;
    if (left < 1e-6) return false;
    const own = fit.residuals[i]! ** 2 / left;
    const variance = (fit.sumOfSquares - own) / (nu - 1);
    if (!(variance > 0)) return true;
    const t = Math.sqrt(own / variance);
    return 2 * tCdf(-t, nu - 1) * n < 0.05;
  });
}

/** Warnings for rows that stand apart and rows on which the fit hangs; `label` names a row. */
export function rowFindings(fit: LeastSquaresFit, label: (row: number) => string): Finding[] {
  const apart = outliers(fit).map(i => floorFinding('fit-outlier', null, `${label(i)} is an outlier of the fit`));
  const heavy = Array.from(fit.leverage.keys()).filter(i => fit.leverage[i]! > GREAT_LEVERAGE);
  return [
    ...apart,
    ...heavy.map(i =>
      floorFinding('fit-leverage', null, `the fit hangs on ${label(i)} (leverage ${fit.leverage[i]!.toFixed(2)})`),
    ),
  ];
}
