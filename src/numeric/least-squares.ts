import { conditionOf, dampedStep, raiseScale, selectColumns } from './damped-step.ts';
import { DomainError } from './domain-error.ts';
import { numericJacobian, type VectorFunction } from './jacobian.ts';
import { inverseNormalMatrix, leverages, type Matrix, matrix, qrFactors } from './linear-algebra.ts';

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
  /** Done when a step moves every parameter by less than this share of itself. */
  relativeStep: 1e-14,
  /** Done when a step promises and brings less than this share of the sum of squares; 0: never for this reason. */
  relativeGain: 0,
  /** First damping, relative to the scaled columns of the Jacobian. */
  damping: 1,
  /** Longest step, relative to the length of the scaled parameters: farther away the linear model means nothing. */
  longestStep: 2,
};

export type StopReason =
  | 'relative offset'
  | 'small step'
  | 'small gain'
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

interface State {
  x: Float64Array;
  r: Float64Array;
  sum: number;
}

/**
 * Nonlinear least-squares fit: Levenberg–Marquardt, steps by QR of the damped Jacobian, columns scaled.
 *
 *   minimise Σ rᵢ(x)²;   (JᵀJ + λ·D²)·s = −Jᵀr,  D = greatest column lengths seen so far (Moré)
 *   covariance = s²·(JᵀJ)⁻¹,  s² = Σ r²/(count − free parameters)
 *
 * A parameter that stands at a bound and would leave is held for that step; other steps are cut off at the bounds.
 * Damping follows the ratio of achieved to predicted gain (Nielsen). Convergence is judged by the relative offset of
 * Bates & Watts: how far the next Gauss–Newton step would go in units of the estimates' uncertainty.
 *
 * Valid for: count ≥ number of free parameters; residuals that are smooth inside the bounds.
 * Throws: DomainError for too few residuals, a start outside its bounds, or residuals at the start that are not finite.
 * A fit that does not converge is returned with `converged: false` and the reason.
 * Source: Moré, Lecture Notes in Math. 630 (1978) 105; Nielsen, IMM-REP-1999-05; Bates & Watts, Technometrics 23 (1981) 179.
 * Evidence: NIST StRD nonlinear sets from both published starts, six digits and more.
 */
export function fitLeastSquares(problem: LeastSquaresProblem): LeastSquaresFit {
  const options = { ...LEAST_SQUARES_DEFAULTS, ...problem.options };
  const box = bounds(problem);
  const free = problem.parameters.flatMap((p, j) => (p.fixed ? [] : [j]));
  if (problem.count < free.length) {
    throw new DomainError('count', problem.count, '-', `at least the number of free parameters, ${free.length}`);
  }
  let state = evaluate(
    problem,
    Float64Array.from(problem.parameters, p => p.start),
  );
  if (state === null) throw new DomainError('residuals', Number.NaN, '-', 'finite at the start');
  if (free.length === 0) return report(problem, box, { state, free, reason: 'small step', iterations: 0 });

  const scale = new Float64Array(problem.parameters.length);
  let damping = options.damping;
  let growth = 2;
  let careful = false;
  for (let iteration = 1; iteration <= options.maxIterations; iteration++) {
    const j = jacobianAt(problem, box, state.x, free, careful);
    raiseScale(scale, j, free);
    const moving = free.filter((p, c) => !leavesBox(box, state!, j, p, c, free.length));
    const done = (reason: StopReason): LeastSquaresFit =>
      report(problem, box, { state: state!, free, reason, iterations: iteration });
    if (moving.length === 0) return done('small step');
    const reduced = selectColumns(j, free, moving, problem.count);
    if (state.sum === 0) return done('exact fit');
    const newton = dampedStep(reduced, state.r, moving, scale, 0);
    const remaining = Math.max(problem.count - moving.length, 1);
    const offset = Math.sqrt(newton.gain / moving.length / (state.sum / remaining));
    if (careful && offset <= options.relativeOffset) return done('relative offset');
    careful ||= offset < 1e-3; // close enough for the derivatives to limit the digits

    // From here on the change of the sum drowns in rounding: trust the linear model.
    const blind = newton.gain < 1e-11 * state.sum;
    for (let attempt = 0; ; attempt++) {
      const lambda: number = blind && attempt === 0 ? 0 : damping;
      const step = lambda === 0 ? newton : dampedStep(reduced, state.r, moving, scale, lambda);
      if (tooLong(step.s, state.x, moving, scale, box, options.longestStep)) {
        damping *= growth;
        growth *= 2;
        continue;
      }
      const x = moved(state.x, moving, step.s, box);
      if (tooSmall(state.x, x, box, options.relativeStep)) return done('small step');
      const next = evaluate(problem, x);
      const gain = next === null ? -1 : state.sum - next.sum;
      if (next !== null && (gain > 0 || (blind && gain > -1e-12 * state.sum))) {
        const ratio = gain / step.gain;
        if (lambda > 0) damping = Math.max(damping * Math.max(1 / 10, 1 - (2 * ratio - 1) ** 3), 1e-16);
        growth = 2;
        const little = options.relativeGain * state.sum;
        state = next;
        if (gain <= little && step.gain <= little) return done('small gain');
        break;
      }
      if (lambda > 0) {
        damping *= growth;
        growth *= 2;
      }
      if (attempt > 100) return done('no progress');
    }
  }
  return report(problem, box, { state, free, reason: 'iteration limit', iterations: options.maxIterations });
}

interface Box {
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  readonly typical: Float64Array;
}

function bounds(problem: LeastSquaresProblem): Box {
  const lower = Float64Array.from(problem.parameters, p => p.lower ?? Number.NEGATIVE_INFINITY);
  const upper = Float64Array.from(problem.parameters, p => p.upper ?? Number.POSITIVE_INFINITY);
  const typical = Float64Array.from(problem.parameters, p => p.typical ?? (Math.abs(p.start) || 1));
  for (const [j, p] of problem.parameters.entries()) {
    if (!(Number.isFinite(p.start) && p.start >= lower[j]! && p.start <= upper[j]!)) {
      throw new DomainError(`parameters[${j}].start`, p.start, '-', `from ${lower[j]} to ${upper[j]}`);
    }
  }
  return { lower, upper, typical };
}

function evaluate(problem: LeastSquaresProblem, x: Float64Array): State | null {
  const r = new Float64Array(problem.count);
  problem.residuals(x, r);
  let sum = 0;
  for (let i = 0; i < r.length; i++) sum += r[i]! * r[i]!;
  return Number.isFinite(sum) ? { x, r, sum } : null;
}

/** Derivatives by the free parameters, count × free.length. */
function jacobianAt(
  problem: LeastSquaresProblem,
  box: Box,
  x: Float64Array,
  free: readonly number[],
  careful: boolean,
): Float64Array {
  if (!problem.jacobian) {
    return numericJacobian({ fn: problem.residuals, count: problem.count, at: x, by: free, careful, ...box });
  }
  const all = new Float64Array(problem.count * x.length);
  problem.jacobian(x, all);
  return selectColumns(all, Array.from(x.keys()), free, problem.count).data;
}

/** Whether parameter p (column c of j) stands at a bound and descent leads out of the box. */
function leavesBox(box: Box, state: State, j: Float64Array, p: number, c: number, columns: number): boolean {
  const low = state.x[p]! <= box.lower[p]!;
  const high = state.x[p]! >= box.upper[p]!;
  if (!low && !high) return false;
  let gradient = 0;
  for (let i = 0; i < state.r.length; i++) gradient += j[i * columns + c]! * state.r[i]!;
  return low ? gradient >= 0 : gradient <= 0;
}

function moved(x: Float64Array, moving: readonly number[], s: Float64Array, box: Box): Float64Array {
  const out = Float64Array.from(x);
  for (const [c, p] of moving.entries()) out[p] = Math.min(Math.max(x[p]! + s[c]!, box.lower[p]!), box.upper[p]!);
  return out;
}

/** Whether the step is longer than `longest` times the parameters themselves, both scaled. */
function tooLong(
  s: Float64Array,
  x: Float64Array,
  moving: readonly number[],
  scale: Float64Array,
  box: Box,
  longest: number,
): boolean {
  let step = 0;
  let size = 0;
  for (const [c, p] of moving.entries()) {
    step += (scale[p]! * s[c]!) ** 2;
    size += (scale[p]! * Math.max(Math.abs(x[p]!), box.typical[p]!)) ** 2;
  }
  return step > longest ** 2 * size;
}

function tooSmall(from: Float64Array, to: Float64Array, box: Box, relative: number): boolean {
  return from.every((v, p) => Math.abs(to[p]! - v) <= relative * Math.max(Math.abs(v), box.typical[p]! / 1000));
}

function report(
  problem: LeastSquaresProblem,
  box: Box,
  end: { state: State; free: readonly number[]; reason: StopReason; iterations: number },
): LeastSquaresFit {
  const { state, free } = end;
  const p = state.x.length;
  const atBound = free.filter(k => state.x[k]! <= box.lower[k]! || state.x[k]! >= box.upper[k]!);
  const inside = free.filter(k => !atBound.includes(k));
  const degreesOfFreedom = problem.count - free.length;
  const variance = degreesOfFreedom > 0 ? state.sum / degreesOfFreedom : null;
  let covariance: Matrix | null = variance === null ? null : matrix({ rows: p, columns: p });
  let leverage: Float64Array = new Float64Array(problem.count);
  let condition = 1;
  if (inside.length > 0) {
    const j = jacobianAt(problem, box, state.x, inside, true);
    const size = new Float64Array(p);
    raiseScale(size, j, inside);
    for (let i = 0; i < j.length; i++) j[i] = j[i]! / (size[inside[i % inside.length]!]! || 1);
    const f = qrFactors({ rows: problem.count, columns: inside.length, data: j });
    condition = conditionOf(j, inside.length);
    leverage = leverages(f);
    if (f.rank < inside.length) covariance = null;
    else if (covariance !== null) {
      const inverse = inverseNormalMatrix(f);
      for (const [a, ka] of inside.entries()) {
        for (const [b, kb] of inside.entries()) {
          covariance.data[ka * p + kb] = (variance! * inverse.data[a * inside.length + b]!) / (size[ka]! * size[kb]!);
        }
      }
    }
  }
  return {
    parameters: state.x,
    standardErrors: covariance && Float64Array.from({ length: p }, (_, k) => Math.sqrt(covariance.data[k * p + k]!)),
    covariance,
    residuals: state.r,
    sumOfSquares: state.sum,
    degreesOfFreedom,
    residualSd: variance === null ? null : Math.sqrt(variance),
    leverage,
    condition,
    atBound,
    converged: end.reason !== 'iteration limit' && end.reason !== 'no progress',
    reason: end.reason,
    iterations: end.iterations,
  };
}
