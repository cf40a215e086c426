import { columnLengths } from './damped-step.ts';
import { type Box, jacobianAt, type LeastSquaresProblem, type State } from './least-squares-problem.ts';
import { inverseNormalMatrix, leverages, type Matrix, matrix, qrFactors } from './linear-algebra.ts';
import { singularValues } from './singular-values.ts';

export type StopReason =
  | 'relative offset'
  | 'small step'
  | 'small gain'
  | 'rounding'
  | 'exact fit'
  | 'no progress'
  | 'iteration limit';

export interface LeastSquaresFit {
  readonly parameters: Float64Array;
  /** Standard errors; null where they cannot be told (no degrees of freedom, or columns that depend on each other). */
  readonly standardErrors: Float64Array | null;
  /** Covariance of all parameters; rows and columns of fixed ones, and of those at a bound, are zero. */
  readonly covariance: Matrix | null;
  readonly residuals: Float64Array;
  readonly sumOfSquares: number;
  /** Residuals less free parameters; one at a bound counts as free. */
  readonly degreesOfFreedom: number;
  /** √(sum of squares / degrees of freedom); null without any. */
  readonly residualSd: number | null;
  /** Leverage of each residual, 0 to 1. */
  readonly leverage: Float64Array;
  /** Condition number (2-norm) of the Jacobian with columns of length one; infinite where columns depend on each other. */
  readonly condition: number;
  /** Indices of the parameters that ended at a bound. */
  readonly atBound: readonly number[];
  readonly converged: boolean;
  readonly reason: StopReason;
  readonly iterations: number;
}

/** Where and why a fit ended. */
interface End {
  readonly state: State;
  readonly free: readonly number[];
  readonly reason: StopReason;
  readonly iterations: number;
  readonly sumOnly: boolean;
}

/** What a fit says of its end: estimates, their covariance, leverages, condition. */
export function reportFit(problem: LeastSquaresProblem, box: Box, end: End): LeastSquaresFit {
  const { state, free } = end;
  const atBound = free.filter(k => state.x[k]! <= box.lower[k]! || state.x[k]! >= box.upper[k]!);
  const inside = free.filter(k => !atBound.includes(k));
  const degreesOfFreedom = problem.count - free.length;
  const variance = degreesOfFreedom > 0 ? state.sum / degreesOfFreedom : null;
  const spread = end.sumOnly ? UNTOLD : spreadOf(problem, box, state.x, inside);
  const covariance = variance === null || spread.inverse === null ? null : spread.inverse;
  if (covariance !== null) for (let i = 0; i < covariance.data.length; i++) covariance.data[i]! *= variance!;
  const p = state.x.length;
  return {
    parameters: state.x,
    standardErrors: covariance && Float64Array.from({ length: p }, (_, k) => Math.sqrt(covariance.data[k * p + k]!)),
    covariance,
    residuals: state.r,
    sumOfSquares: state.sum,
    degreesOfFreedom,
    residualSd: variance === null ? null : Math.sqrt(variance),
    leverage: spread.leverage,
    condition: spread.condition,
    atBound,
    converged: end.reason !== 'iteration limit' && end.reason !== 'no progress',
    reason: end.reason,
    iterations: end.iterations,
  };
}

const UNTOLD = { inverse: null, leverage: new Float64Array(), condition: Number.POSITIVE_INFINITY };

/** (JᵀJ)⁻¹ over all parameters, zero outside those inside their bounds and null where columns depend on each other; with what else J tells. */
function spreadOf(
  problem: LeastSquaresProblem,
  box: Box,
  x: Float64Array,
  inside: readonly number[],
): { inverse: Matrix | null; leverage: Float64Array; condition: number } {
  const p = x.length;
  const n = inside.length;
  const inverse = matrix({ rows: p, columns: p });
  if (n === 0) return { inverse, leverage: new Float64Array(problem.count), condition: 1 };
  const j = jacobianAt(problem, box, x, inside, true);
  const size = columnLengths(j, n).map(length => length || 1);
  for (let i = 0; i < j.length; i++) j[i]! /= size[i % n]!;
  const f = qrFactors({ rows: problem.count, columns: n, data: j });
  if (f.rank < n) return { inverse: null, leverage: leverages(f), condition: Number.POSITIVE_INFINITY };
  const values = singularValues(f);
  const scaled = inverseNormalMatrix(f);
  for (const [a, ka] of inside.entries()) {
    for (const [b, kb] of inside.entries()) inverse.data[ka * p + kb] = scaled.data[a * n + b]! / (size[a]! * size[b]!);
  }
  return { inverse, leverage: leverages(f), condition: values[0]! / values[n - 1]! };
}
