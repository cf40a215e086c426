import { selectColumns } from './damped-step.ts';
import { DomainError } from './domain-error.ts';
import { numericJacobian, type VectorFunction } from './jacobian.ts';

/** One parameter of a fit. */
export interface FitParameter {
  readonly start: number;
  /** Bounds, inclusive; default none. */
  readonly lower?: number;
  readonly upper?: number;
  /** Keep at `start`. */
  readonly fixed?: boolean;
  /** Usual size; keeps numeric derivatives honest where the value passes zero. Default |start|, or 1 for a start at zero. */
  readonly typical?: number;
}

export interface LeastSquaresProblem {
  /** Fills `out` with the residuals (weighted, where the fit is weighted). Not finite: outside the model's domain. */
  readonly residuals: VectorFunction;
  /** Number of residuals. */
  readonly count: number;
  readonly parameters: readonly FitParameter[];
  /** Derivatives of the residuals, count × parameters, row after row. Default: `numericJacobian`. */
  readonly jacobian?: VectorFunction;
  readonly options?: Partial<typeof LEAST_SQUARES_DEFAULTS>;
}

/** Defaults of `fitLeastSquares`. */
export const LEAST_SQUARES_DEFAULTS = {
  maxIterations: 2000,
  /** Done when the next step would move the estimates by less than this share of their own uncertainty. */
  relativeOffset: 1e-9,
  /** Done when the next undamped step moves every parameter by less than this share of itself. */
  relativeStep: 1e-14,
  /**
   * Where rounding in the residuals lets no step succeed any more: the fit still counts as converged when the next step would move the
   * estimates by less than this share of their uncertainty, or by less than 1e-6 of themselves.
   */
  roundingOffset: 1e-9,
  /** Done when a step promises and brings less than this share of the sum of squares; 0: never for this reason. */
  relativeGain: 0,
  /** Only the least sum and where it lies: derivatives stay quick, and neither their spread nor the leverage of residuals is worked out. */
  sumOnly: false,
  /** First damping, relative to the scaled columns of the Jacobian. */
  damping: 1,
  /** Longest step, relative to the length of the scaled parameters: farther away the linear model means nothing. */
  longestStep: 2,
};

/** Bounds and usual sizes of all parameters. */
export interface Box {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly typical: Float64Array;
}

/** A point of a fit, its residuals and their sum of squares. */
export interface State {
  readonly x: Float64Array;
  readonly r: Float64Array;
  readonly sum: number;
}

/** Throws: DomainError for a start outside its bounds. */
export function boxOf(parameters: readonly FitParameter[]): Box {
  const lower = Float64Array.from(parameters, p => p.lower ?? Number.NEGATIVE_INFINITY);
  const upper = Float64Array.from(parameters, p => p.upper ?? Number.POSITIVE_INFINITY);
  const typical = Float64Array.from(parameters, p => p.typical ?? (Math.abs(p.start) || 1));
  for (const [j, p] of parameters.entries()) {
    if (!(Number.isFinite(p.start) && p.start >= lower[j]! && p.start <= upper[j]!)) {
      throw new DomainError(`parameters[${j}].start`, p.start, '-', `from ${lower[j]} to ${upper[j]}`);
    }
  }
  return { lower, upper, typical };
}

/** Null where the residuals are not finite. */
export function evaluate(problem: LeastSquaresProblem, x: Float64Array): State | null {
  const r = new Float64Array(problem.count);
  problem.residuals(x, r);
  let sum = 0;
  for (let i = 0; i < r.length; i++) sum += r[i]! * r[i]!;
  return Number.isFinite(sum) ? { x, r, sum } : null;
}

/** Derivatives by some parameters, count × by.length. */
export function jacobianAt(
  problem: LeastSquaresProblem,
  box: Box,
  x: Float64Array,
  by: readonly number[],
  careful: boolean,
): Float64Array {
  if (!problem.jacobian) {
    return numericJacobian({ fn: problem.residuals, count: problem.count, at: x, by, careful, ...box });
  }
  const all = new Float64Array(problem.count * x.length);
  problem.jacobian(x, all);
  return selectColumns(all, Array.from(x.keys()), by, problem.count).data;
}

/** The point a step leads to, cut off at the bounds. */
export function moved(x: Float64Array, moving: readonly number[], s: ArrayLike<number>, box: Box): Float64Array {
  const out = Float64Array.from(x);
  for (const [c, p] of moving.entries()) out[p] = Math.min(Math.max(x[p]! + s[c]!, box.lower[p]!), box.upper[p]!);
  return out;
}

/** Whether no parameter moves by more than this share of itself. */
export function hardlyMoves(from: Float64Array, to: Float64Array, box: Box, share: number): boolean {
  return from.every((v, p) => Math.abs(to[p]! - v) <= share * Math.max(Math.abs(v), box.typical[p]! / 1000));
}
