import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { DomainError } from '../../numeric/domain-error.ts';
import {
  type FitParameter,
  fitLeastSquares,
  type LeastSquaresFit,
  type LeastSquaresProblem,
} from '../../numeric/least-squares.ts';
import { aiccOf, byAicc, estimatesOf, type FitEstimate, outliers, profilesOf } from './fit-report.ts';

/** One model of a comparison, as results show it. */
export interface FittedModel {
  readonly name: string;
  readonly parameters: readonly FitEstimate[];
  /** Null where there are too few points for it, or the model just joins them. */
  readonly aicc: number | null;
  /** Relative, as a share [-]; null without degrees of freedom. */
  readonly residual_sd: number | null;
  readonly converged: boolean;
  /** Measured over model − 1, a number a reading; null where the model was not fitted, or just joins them. */
  readonly residuals_pct: readonly number[] | null;
  /** Readings that stand apart, counted from 1. */
  readonly outliers: readonly number[];
  /** What cannot be told, or keeps the model from being fitted; null where there is nothing to say. */
  readonly note: string | null;
}

/** A parameter of a candidate model: how it is shown, where it may lie. */
export interface CandidateParameter {
  readonly name: string;
  /** Shown number per number of the fit. */
  readonly scale?: number;
  readonly lower?: number;
  readonly upper?: number;
  readonly fixed?: boolean;
}

/** A model to be fitted in logarithms of the measured values. */
export interface Candidate {
  readonly name: string;
  readonly parameters: readonly CandidateParameter[];
  /** Starting points; the fit from the best end counts. */
  readonly starts: readonly (readonly number[])[];
  /** Fills `out` with the model's values where the measured ones are; not positive: outside the model's domain. */
  readonly values: (parameters: ArrayLike<number>, out: Float64Array) => void;
}

/** A model with more parameters than the data tell creeps along a valley; what it could still gain there tells nothing. */
const FIT_OPTIONS = { maxIterations: 100, relativeGain: 1e-7, roundingOffset: 1e-4 };

/** How many of the starting points, the best by their residuals, are followed to the end. */
const FOLLOWED = 3;

/** Fits a candidate to measured values, all above zero, with residuals ln(measured/model). */
export function fitCandidate(candidate: Candidate, measured: readonly number[]): FittedModel {
  const free = candidate.parameters.filter(p => !p.fixed).length;
  if (measured.length < free)
    return unfitted(candidate.name, `${measured.length} points cannot tell ${free} parameters`);
  const residuals = (p: ArrayLike<number>, out: Float64Array): void => {
    candidate.values(p, out);
    for (const [i, m] of measured.entries()) out[i] = out[i]! > 0 ? Math.log(m / out[i]!) : Number.NaN;
  };
  const problemFrom = (start: readonly number[]) => problemOf(candidate, residuals, start, measured.length);
  const fits = bestStarts(candidate, residuals, measured.length).flatMap(start => solved(problemFrom(start)));
  const ended = fits.reduce<LeastSquaresFit | null>(
    (a, b) => (a === null || b.sumOfSquares < a.sumOfSquares ? b : a),
    null,
  );
  if (ended === null) return unfitted(candidate.name, 'no starting point of the fit gives finite values');
  const { best, profiles } = profiled(ended, problemFrom);
  const shown = candidate.parameters.map(p => ({ name: p.name, scale: p.scale ?? 1, fixed: p.fixed ?? false }));
  return {
    name: candidate.name,
    parameters: estimatesOf(best, shown, profiles),
    aicc: aiccOf({ sumOfSquares: best.sumOfSquares, count: measured.length, parameters: free }),
    residual_sd: best.residualSd,
    converged: best.converged,
    residuals_pct: Array.from(best.residuals, r => 100 * Math.expm1(r)),
    outliers: outliers(best).map(i => i + 1),
    note: noteOf(best, candidate),
  };
}

/** Warnings for readings that stand apart from the best model; `lineOf` tells where a reading, from 0, stands in its file. */
export function outlierFindings(best: FittedModel, lineOf: (reading: number) => number | undefined): Finding[] {
  return best.outliers.map(reading => {
    const line = lineOf(reading - 1);
    const where = line === undefined ? `reading ${reading}` : `line ${line}`;
    return floorFinding('fit-outlier', null, `${where} is an outlier of the fit of ${best.name}`);
  });
}

/** Models by AICc, best first; those without one last, in the order in which they came. */
export function bestFirst(models: readonly FittedModel[]): FittedModel[] {
  return [...models].sort(byAicc);
}

export function unfitted(name: string, note: string): FittedModel {
  return {
    name,
    parameters: [],
    aicc: null,
    residual_sd: null,
    converged: false,
    residuals_pct: null,
    outliers: [],
    note,
  };
}

type Residuals = (p: ArrayLike<number>, out: Float64Array) => void;

function bestStarts(candidate: Candidate, residuals: Residuals, count: number): (readonly number[])[] {
  const out = new Float64Array(count);
  const ranked = candidate.starts.flatMap(start => {
    residuals(start, out);
    const sum = out.reduce((s, r) => s + r * r, 0);
    return Number.isFinite(sum) ? [{ start, sum }] : [];
  });
  return ranked
    .sort((a, b) => a.sum - b.sum)
    .slice(0, FOLLOWED)
    .map(r => r.start);
}

function problemOf(
  candidate: Candidate,
  residuals: Residuals,
  start: readonly number[],
  count: number,
): LeastSquaresProblem {
  const parameters = candidate.parameters.map((p, k): FitParameter => {
    const lower = p.lower ?? Number.NEGATIVE_INFINITY;
    const upper = p.upper ?? Number.POSITIVE_INFINITY;
    const value = Math.min(Math.max(start[k]!, lower), upper);
    return { start: value, lower, upper, fixed: p.fixed ?? false };
  });
  return { count, parameters, residuals, options: FIT_OPTIONS };
}

function solved(problem: LeastSquaresProblem): LeastSquaresFit[] {
  try {
    return [fitLeastSquares(problem)];
  } catch (error) {
    if (error instanceof DomainError) return []; // the start, or its surroundings, lie outside the model's domain
    throw error;
  }
}

/** A better fit can be met on the way along a profile; it is followed, and profiled anew. */
const MOST_RETURNS = 3;

/** The fit with the profiles of its parameters, or a better one that they led to. */
function profiled(fit: LeastSquaresFit, problemFrom: (start: readonly number[]) => LeastSquaresProblem) {
  let best = fit;
  for (let turn = 1; ; turn++) {
    const problem = problemFrom(Array.from(best.parameters));
    const profiles = profilesOf(problem, best);
    const better = profiles.find(profile => profile !== null && profile.better !== null)?.better ?? null;
    const next = better === null || turn === MOST_RETURNS ? undefined : solved(problemFrom(Array.from(better)))[0];
    if (next === undefined || !(next.sumOfSquares < best.sumOfSquares)) return { best, profiles };
    best = next;
  }
}

function noteOf(best: LeastSquaresFit, candidate: Candidate): string | null {
  const names = best.atBound.map(k => candidate.parameters[k]!.name);
  if (!best.converged) return `the fit did not end: ${best.reason}`;
  if (names.length > 0) return `ended at the end of its range: ${names.join(', ')}`;
  return best.condition > 1e5 ? 'its parameters cannot be told apart from these data' : null;
}
