import { ConvergenceError } from './convergence-error.ts';
import { DomainError, requireFinite, requirePositive } from './domain-error.ts';
import { type Derivative, DormandPrinceStep } from './dormand-prince.ts';
import { type OdeEvent, type Passed, passEvents } from './ode-events.ts';

export type { OdeEvent } from './ode-events.ts';

export interface OdeStep {
  from: number;
  to: number;
  /** The state anywhere in the step, of fourth order; stays valid after the step. */
  at: (t: number) => Float64Array;
}

export interface OdeProblem {
  derivative: Derivative;
  from: number;
  to: number;
  initial: readonly number[];
  /** Local error per step relative to the state. */ relative?: number;
  /** Local error per step in the unit of the state, one for all or one each. */ absolute?: number | readonly number[];
  /** First step; found from the equation when absent. */ firstStep?: number;
  maxStep?: number;
  maxSteps?: number;
  event?: readonly OdeEvent[];
  /** Called after every accepted step (the last one ends at the event). */
  onStep?: (step: OdeStep) => void;
}

export interface OdeSolution {
  t: number;
  y: number[];
  /** Index of the event that ended the solution, or null. */
  event: number | null;
  /** Events that did not end it, in order of t. */
  passed: Passed[];
  steps: number;
  rejected: number;
}

const ODE_DEFAULTS = { relative: 1e-10, absolute: 1e-14, maxSteps: 200_000 } as const;

const SAFETY = 0.9;
/** Exponents of the PI controller for order 5 (Hairer, Nørsett & Wanner I, IV.2: α = 0.2 − 0.75 β, β = 0.04). */
const ALPHA = 0.17;
const BETA = 0.04;
const SLOWEST = 0.2;
const FASTEST = 10;

/**
 * Solves y' = f(t, y) from `from` to `to` (either direction), or up to the first terminal event.
 *
 *   Dormand–Prince 5(4), local extrapolation, PI step control, dense output of order 4
 *
 * Valid for: smooth, not stiff systems; put a kink of f at the end of one call and the start of the next. An event is
 * seen when its value changes sign between quarters of a step; it is then placed by repeating the step up to it, so that
 * its time has the accuracy of the solution itself and not of the interpolant.
 * Shape: `initial` fixes the number of components.
 * Throws: DomainError for limits or tolerances that make no sense; ConvergenceError when the step shrinks to nothing or
 * `maxSteps` is passed.
 * Source: Hairer, Nørsett & Wanner, Solving Ordinary Differential Equations I, 2nd ed., II.4 to II.6 (DOPRI5).
 * Evidence: exponential, oscillator, Kepler orbit, logistic curve; order of convergence; events of a known time.
 */
export function solveOde(problem: OdeProblem): OdeSolution {
  const relative = problem.relative ?? ODE_DEFAULTS.relative;
  const absolute = problem.absolute ?? ODE_DEFAULTS.absolute;
  const maxSteps = problem.maxSteps ?? ODE_DEFAULTS.maxSteps;
  check(problem, relative);
  const events = problem.event ?? [];
  const span = problem.to - problem.from;
  const sign = span < 0 ? -1 : 1;
  const maxStep = Math.min(Math.abs(span), problem.maxStep ?? Math.abs(span));
  const scale = errorScale(relative, absolute);

  let t = problem.from;
  let y = Float64Array.from(problem.initial);
  const solution: OdeSolution = { t, y: [...y], event: null, passed: [], steps: 0, rejected: 0 };
  if (span === 0) return solution;
  const step = new DormandPrinceStep(problem.derivative, y.length);
  const slope = step.begin(t, y);
  let h = Math.min(problem.firstStep ?? firstStep(y, slope, scale), maxStep) * sign;
  let before = events.map(e => e.value(t, y));
  let lastError = 1e-4;
  let refused = false;

  while ((problem.to - t) * sign > 0) {
    if (solution.steps + solution.rejected >= maxSteps) {
      throw new ConvergenceError('solveOde', maxSteps, t, problem.to - t);
    }
    const left = problem.to - t;
    const closing = Math.abs(h) >= Math.abs(left) * (1 - 1e-12);
    if (closing) h = left;
    else if (Math.abs(h) > Math.abs(left) / 2) h = left / 2; // no sliver of a last step
    if (t + h === t) throw new ConvergenceError('solveOde', solution.steps, t, problem.to - t);
    step.take(t, y, h);
    const error = norm(step.error, y, step.next, scale);
    if (!(error <= 1)) {
      solution.rejected++;
      refused = true;
      h *= Number.isFinite(error) ? Math.max(SLOWEST, SAFETY * error ** -0.2) : SLOWEST;
      continue;
    }
    const end = closing ? problem.to : t + h;
    const dense = events.length > 0 || problem.onStep ? step.dense(t, y, h) : null;
    const stop =
      dense === null ? null : passEvents({ step, events, before, t, y, end, dense, passed: solution.passed });
    solution.steps++;
    problem.onStep?.({ from: t, to: stop ? stop.t : end, at: dense! });
    if (stop) return { ...solution, t: stop.t, y: [...stop.y], event: stop.event };
    if (dense !== null) before = events.map(e => e.value(end, step.next));
    y = Float64Array.from(step.next);
    t = end;
    step.accept();
    let factor = SAFETY * Math.max(error, 1e-10) ** -ALPHA * lastError ** BETA;
    factor = Math.min(refused ? 1 : FASTEST, Math.max(SLOWEST, factor));
    refused = false;
    lastError = Math.max(error, 1e-4);
    h = Math.min(Math.abs(h) * factor, maxStep) * sign;
  }
  return { ...solution, t: problem.to, y: [...y] };
}

type Scale = (a: number, b: number, i: number) => number;

function errorScale(relative: number, absolute: number | readonly number[]): Scale {
  return (a, b, i) =>
    (typeof absolute === 'number' ? absolute : absolute[i]!) + relative * Math.max(Math.abs(a), Math.abs(b));
}

function norm(error: Float64Array, y: Float64Array, next: Float64Array, scale: Scale): number {
  let sum = 0;
  for (let i = 0; i < error.length; i++) {
    if (!Number.isFinite(next[i]!)) return Number.POSITIVE_INFINITY;
    const size = scale(y[i]!, next[i]!, i);
    if (error[i] !== 0) sum += (error[i]! / size) ** 2;
  }
  return Math.sqrt(sum / Math.max(error.length, 1));
}

/** First step by the sizes of state and slope (Hairer, Nørsett & Wanner I, II.4, without the trial step). */
function firstStep(y: Float64Array, slope: Float64Array, scale: Scale): number {
  let state = 0;
  let rate = 0;
  for (let i = 0; i < y.length; i++) {
    const size = Math.max(scale(y[i]!, y[i]!, i), Number.MIN_VALUE);
    state = Math.max(state, Math.abs(y[i]!) / size);
    rate = Math.max(rate, Math.abs(slope[i]!) / size);
  }
  if (!(rate > 0)) return Number.POSITIVE_INFINITY; // at rest: the whole span, the error estimate will shorten it
  return state > 1e-5 ? (0.01 * state) / rate : 1 / rate;
}

function check(problem: OdeProblem, relative: number): void {
  requireFinite('from', problem.from, 's');
  requireFinite('to', problem.to, 's');
  requirePositive('relative', relative, '-');
  if (problem.firstStep !== undefined) requirePositive('firstStep', problem.firstStep, 's');
  if (problem.maxStep !== undefined) requirePositive('maxStep', problem.maxStep, 's');
  problem.initial.forEach((value, i) => {
    requireFinite(`initial[${i}]`, value, '-');
  });
  const absolute = problem.absolute;
  if (typeof absolute === 'object' && absolute.length !== problem.initial.length) {
    throw new DomainError('absolute.length', absolute.length, '-', `one a component (${problem.initial.length})`);
  }
}
