import {
  bentStep,
  dampedStep,
  followScale,
  type LinearModel,
  type Step,
  scaledLength,
  selectColumns,
} from './damped-step.ts';
import { DomainError } from './domain-error.ts';
import {
  type Box,
  boxOf,
  evaluate,
  hardlyMoves,
  jacobianAt,
  LEAST_SQUARES_DEFAULTS,
  type LeastSquaresProblem,
  moved,
  type State,
} from './least-squares-problem.ts';
import { type LeastSquaresFit, reportFit, type StopReason } from './least-squares-report.ts';

export { type FitParameter, LEAST_SQUARES_DEFAULTS, type LeastSquaresProblem } from './least-squares-problem.ts';
export type { LeastSquaresFit, StopReason } from './least-squares-report.ts';

/** Attempts at one step before the fit gives up. */
const MOST_ATTEMPTS = 100;
/** A step of this share of a parameter leaves six digits of it and more. */
const DIGITS_RIGHT = 1e-6;
/** The linear model has proved itself where the sum of squares comes out as it said, to this share. */
const AS_PROMISED = 1e-3;

/**
 * Nonlinear least-squares fit: Levenberg–Marquardt with geodesic acceleration, steps by QR of the damped Jacobian, columns scaled.
 *
 *   minimise Σ rᵢ(x)²;   (JᵀJ + λ·D²)·s = −Jᵀr,  D = column lengths, held a while;  the step taken is s + ½a
 *   covariance = s²·(JᵀJ)⁻¹,  s² = Σ r²/(count − free parameters)
 *
 * A parameter that stands at a bound and would leave is held for that step; other steps are cut off at the bounds.
 * Damping follows the ratio of achieved to predicted gain (Nielsen). Convergence is judged by the relative offset of
 * Bates & Watts: how far the next Gauss–Newton step would go in units of the estimates' uncertainty. Where rounding lets no step
 * succeed before that, the fit has converged only if what is left to go is nothing beside the estimates or their uncertainty.
 *
 * Valid for: count ≥ number of free parameters; residuals that are smooth inside the bounds.
 * Throws: DomainError for too few residuals, a start outside its bounds, or residuals at the start that are not finite.
 * A fit that does not converge is returned with `converged: false` and the reason.
 * Source: Moré, Lecture Notes in Math. 630 (1978) 105; Nielsen, IMM-REP-1999-05; Bates & Watts, Technometrics 23 (1981) 179;
 * Transtrum & Sethna, arXiv:1201.5885.
 * Evidence: all NIST StRD nonlinear sets from both published starts, eight digits and more; the linear ones, six and more.
 */
export function fitLeastSquares(problem: LeastSquaresProblem): LeastSquaresFit {
  const options = { ...LEAST_SQUARES_DEFAULTS, ...problem.options };
  const box = boxOf(problem.parameters);
  const free = problem.parameters.flatMap((p, j) => (p.fixed ? [] : [j]));
  if (problem.count < free.length) {
    throw new DomainError('count', problem.count, '-', `at least the number of free parameters, ${free.length}`);
  }
  const start = evaluate(
    problem,
    Float64Array.from(problem.parameters, p => p.start),
  );
  if (start === null) throw new DomainError('residuals', Number.NaN, '-', 'finite at the start');
  const done = (reason: StopReason, state: State, iterations: number): LeastSquaresFit =>
    reportFit(problem, box, { state, free, reason, iterations, sumOnly: options.sumOnly });
  if (free.length === 0) return done('small step', start, 0);

  let state = start;
  const scale = new Float64Array(problem.parameters.length);
  const walk: Walk = { damping: options.damping, growth: FIRST_GROWTH, straight: true };
  const quick = options.sumOnly;
  let careful = false;
  for (let iteration = 1; iteration <= options.maxIterations; iteration++) {
    const j = jacobianAt(problem, box, state.x, free, careful);
    followScale(scale, j, free);
    const moving = free.filter((p, c) => !leavesBox(box, state, j, p, c, free.length));
    if (moving.length === 0) return done('small step', state, iteration);
    if (state.sum === 0) return done('exact fit', state, iteration);
    const linear: LinearModel = {
      j: selectColumns(j, free, moving, problem.count),
      r: state.r,
      size: Float64Array.from(moving, p => scale[p]! || 1),
    };
    const at: Place = { problem, box, state, moving, linear, newton: dampedStep(linear, 0), ...options };
    if (iteration === 1 && !quick && isStraight(at)) {
      careful = true; // a linear problem is done in one step, as well as its derivatives are known
      continue;
    }
    const offset = offsetOf(at);
    if ((careful || quick) && offset <= options.relativeOffset) return done('relative offset', polished(at), iteration);
    const ahead = moved(state.x, moving, at.newton.s, box);
    if ((careful || quick) && hardlyMoves(state.x, ahead, box, options.relativeStep))
      return done('small step', state, iteration);
    const taken = nextState(at, walk);
    if (taken === null) {
      // Rough derivatives can be what is in the way.
      if (careful || quick) {
        const left = offset <= options.roundingOffset || hardlyMoves(state.x, ahead, box, DIGITS_RIGHT);
        return done(left ? 'rounding' : 'no progress', state, iteration);
      }
      careful = true;
      continue;
    }
    careful ||= !quick && offset < 1e-3; // close enough for the derivatives to limit the digits
    const little = options.relativeGain * state.sum;
    const gain = state.sum - taken.state.sum;
    state = taken.state;
    if (gain <= little && taken.promised <= little) return done('small gain', state, iteration);
  }
  return done('iteration limit', state, options.maxIterations);
}

/** What one step hands on to the next. */
interface Walk {
  damping: number;
  growth: number;
  /** The sum of squares has come out as the linear model said, so far. */
  straight: boolean;
}

/** A point with all that is known there. */
interface Place {
  readonly problem: LeastSquaresProblem;
  readonly box: Box;
  readonly state: State;
  readonly moving: readonly number[];
  readonly linear: LinearModel;
  /** The undamped step. */
  readonly newton: Step;
  readonly longestStep: number;
  readonly relativeStep: number;
}

/** Damping grows by 2, 3, 4.5, … from one failed attempt to the next: twice as long steps down a narrow valley as doubling the factor. */
const FIRST_GROWTH = 2;
const GROWTH = 1.5;

/** The state after the next step and the gain that was promised, or null where no step makes the sum smaller. */
function nextState(at: Place, walk: Walk): { state: State; promised: number } | null {
  const { problem, box, state, moving, newton } = at;
  const straight = walk.straight ? straightState(at) : null;
  walk.straight = straight !== null;
  if (straight !== null) return { state: straight, promised: newton.gain };
  // From here on the change of the sum drowns in rounding: trust the linear model.
  const blind = newton.gain < 1e-11 * state.sum;
  const harder = (): void => {
    walk.damping *= walk.growth;
    walk.growth *= GROWTH;
  };
  for (let attempt = 0; attempt <= MOST_ATTEMPTS; attempt++) {
    const lambda = blind && attempt === 0 ? 0 : walk.damping;
    const step = lambda === 0 ? newton : acceleratedStep(at, lambda);
    if (step === null || tooLong(at, step)) {
      harder();
      continue;
    }
    const x = moved(state.x, moving, step.s, box);
    if (hardlyMoves(state.x, x, box, at.relativeStep)) return null;
    const next = evaluate(problem, x);
    const gain = next === null ? -1 : state.sum - next.sum;
    if (next !== null && (gain > 0 || (blind && gain > -1e-12 * state.sum))) {
      const ratio = gain / step.gain;
      if (lambda > 0) walk.damping = Math.max(walk.damping * Math.max(1 / 10, 1 - (2 * ratio - 1) ** 3), 1e-16);
      walk.growth = FIRST_GROWTH;
      return { state: next, promised: step.gain };
    }
    if (lambda > 0) harder();
  }
  return null;
}

function acceleratedStep(at: Place, damping: number): Step | null {
  const { problem, box, state, moving, linear } = at;
  return bentStep(linear, dampedStep(linear, damping), damping, s => {
    const ahead = evaluate(problem, moved(state.x, moving, s, box));
    return ahead === null ? null : ahead.r;
  });
}

/** Where an undamped step leads, however long, if the sum of squares comes out there as the linear model says. */
function straightState({ problem, box, state, moving, newton }: Place): State | null {
  const next = evaluate(problem, moved(state.x, moving, newton.s, box));
  const right = next !== null && next.sum < state.sum && Math.abs(next.sum - newton.left) <= AS_PROMISED * newton.left;
  return right ? next : null;
}

/** Second difference over size of the residuals below which they count as straight along a step. */
const STRAIGHT = 1e-10;

/** Whether the residuals do not bend along the undamped step. */
function isStraight({ problem, box, state, moving, newton }: Place): boolean {
  const [back, ahead] = [-1, 1].map(side => {
    const x = moved(
      state.x,
      moving,
      newton.s.map(v => side * v),
      box,
    );
    return evaluate(problem, x);
  });
  if (!back || !ahead) return false;
  const bend = state.r.reduce((sum, r, i) => sum + (back.r[i]! + ahead.r[i]! - 2 * r) ** 2, 0);
  return bend < STRAIGHT ** 2 * (back.sum + ahead.sum);
}

/** One more undamped step at the end of a fit brings the last digits, unless it makes matters worse. */
function polished({ problem, box, state, moving, newton }: Place): State {
  const next = evaluate(problem, moved(state.x, moving, newton.s, box));
  return next !== null && next.sum <= state.sum * (1 + 1e-12) ? next : state;
}

/** Length of the undamped step in units of the estimates' uncertainty. */
function offsetOf({ problem, state, moving, newton }: Place): number {
  const remaining = Math.max(problem.count - moving.length, 1);
  return Math.sqrt(newton.gain / moving.length / (state.sum / remaining));
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

/** Whether the step is longer than `longestStep` times the parameters themselves, both scaled. */
function tooLong({ state, moving, linear, box, longestStep }: Place, step: Step): boolean {
  const values = moving.map(p => Math.max(Math.abs(state.x[p]!), box.typical[p]!));
  return scaledLength(step.s, linear.size) > longestStep * scaledLength(values, linear.size);
}
