import { ConvergenceError } from './convergence-error.ts';
import { DomainError, requireFinite } from './domain-error.ts';

/** Defaults of {@link findRoot} and {@link risingRoot}. */
const ROOT_DEFAULTS = { relative: 1e-14, absolute: 0, maxIterations: 200, maxStep: 40, lastStep: 1e-9 } as const;

export interface RootOptions {
  /** Tolerance on the root relative to its size [-]. */ readonly relative?: number;
  /** Tolerance on the root in the unit of x. */ readonly absolute?: number;
  readonly maxIterations?: number;
}

/**
 * Root x of a continuous function, in the unit of x, from a bracket whose ends have opposite signs.
 *
 *   Brent's method: inverse quadratic interpolation and secant steps, bisection where they do not pay.
 *
 * Valid for: f(a) and f(b) of opposite sign, or one of them zero; no derivative needed.
 * Shape: two numbers and a function in, one number out. {@link ROOT_DEFAULTS} for what `options` leaves out.
 * Throws: DomainError when a bound or a value of f is not finite, or the bounds do not bracket a root; ConvergenceError.
 * Source: R. P. Brent, Algorithms for Minimization without Derivatives, 1973, ch. 4 (algorithm from memory).
 * Evidence: roots with closed forms, the double bracket of a discontinuous sign change.
 */
export function findRoot(f: (x: number) => number, a: number, b: number, options: RootOptions = {}): number {
  const { relative, absolute, maxIterations } = { ...ROOT_DEFAULTS, ...options };
  let previous = a; // the other side of the bracket at the start, later the last iterate
  let best = b;
  let fPrevious = valueAt(f, a);
  let fBest = valueAt(f, b);
  if (fPrevious === 0) return a;
  if (fBest === 0) return b;
  if (fPrevious > 0 === fBest > 0)
    throw new DomainError('f(b)', fBest, '-', `of the other sign than f(a) = ${fPrevious}`);
  let contra = previous; // always on the other side of the root than `best`
  let fContra = fPrevious;
  let step = best - previous;
  let stepBefore = step;
  for (let i = 0; i < maxIterations; i++) {
    if (fBest > 0 === fContra > 0) {
      contra = previous;
      fContra = fPrevious;
      step = best - previous;
      stepBefore = step;
    }
    if (Math.abs(fContra) < Math.abs(fBest)) {
      previous = best;
      best = contra;
      contra = previous;
      fPrevious = fBest;
      fBest = fContra;
      fContra = fPrevious;
    }
    const tolerance = 2 * Number.EPSILON * Math.abs(best) + 0.5 * Math.max(absolute, relative * Math.abs(best));
    const half = 0.5 * (contra - best);
    if (Math.abs(half) <= tolerance || fBest === 0) return best;
    const trial = interpolatedStep({ previous, best, contra, fPrevious, fBest, fContra });
    const useful =
      Math.abs(stepBefore) >= tolerance &&
      Math.abs(fPrevious) > Math.abs(fBest) &&
      Math.abs(trial) < Math.min(Math.abs(0.5 * stepBefore), Math.abs(1.5 * half) - Math.abs(0.5 * tolerance)) &&
      trial > 0 === half > 0;
    stepBefore = useful ? step : half;
    step = useful ? trial : half;
    previous = best;
    fPrevious = fBest;
    best += Math.abs(step) > tolerance ? step : half > 0 ? tolerance : -tolerance;
    fBest = valueAt(f, best);
  }
  throw new ConvergenceError('findRoot', maxIterations, best, Math.abs(contra - best));
}

interface Bracket {
  previous: number;
  best: number;
  contra: number;
  fPrevious: number;
  fBest: number;
  fContra: number;
}

/** Secant step from two points, inverse quadratic step from three distinct ones. */
function interpolatedStep({ previous, best, contra, fPrevious, fBest, fContra }: Bracket): number {
  const s = fBest / fPrevious;
  if (previous === contra) return ((best - contra) * s) / (1 - s);
  const q = fPrevious / fContra;
  const r = fBest / fContra;
  const numerator = s * ((contra - best) * q * (q - r) - (best - previous) * (r - 1));
  return -numerator / ((q - 1) * (r - 1) * (s - 1));
}

function valueAt(f: (x: number) => number, x: number): number {
  requireFinite('x', x, '-');
  const value = f(x);
  requireFinite('f(x)', value, '-');
  return value;
}

export interface RisingRootOptions {
  readonly start: number;
  /** Bounds that the root is known to lie within; f is never evaluated outside. Default: the whole line. */
  readonly low?: number;
  readonly high?: number;
  /** Where to stop: a Newton step below this, in the unit of x [-]. Newton squares the error, so 1e-9 leaves 1e-16. */
  readonly lastStep?: number;
  readonly maxIterations?: number;
  /** Longest step [unit of x]. */ readonly maxStep?: number;
}

/**
 * Root x of a strictly rising function whose slope is known, in the unit of x, from a starting guess.
 *
 *   Newton's step x − f/f′, kept inside the bracket that the signs seen so far give; bisection where it would leave it.
 *
 * Valid for: f rising through zero somewhere on the real line; meant for logarithms of positive quantities.
 * Shape: a function that returns [f, f′], and a start in; one number out. {@link ROOT_DEFAULTS} for the rest.
 * Throws: DomainError when a value of f is NaN; ConvergenceError.
 * Evidence: roots with closed forms, from starts on both sides.
 */
export function risingRoot(f: (x: number) => readonly [number, number], options: RisingRootOptions): number {
  const {
    maxIterations = ROOT_DEFAULTS.maxIterations,
    maxStep = ROOT_DEFAULTS.maxStep,
    lastStep = ROOT_DEFAULTS.lastStep,
  } = options;
  let { low = Number.NEGATIVE_INFINITY, high = Number.POSITIVE_INFINITY } = options;
  let x = Math.min(Math.max(options.start, low), high);
  let stepBefore = Number.POSITIVE_INFINITY;
  requireFinite('start', x, '-');
  for (let i = 0; i < maxIterations; i++) {
    const result = f(x); // not destructured: this loop is the inside of every needle with several sections
    const value = result[0];
    const slope = result[1];
    if (Number.isNaN(value)) throw new DomainError('f(x)', value, '-', `a number at x = ${x}`);
    if (value === 0) return x;
    if (value > 0) high = x;
    else low = x;
    const newton = -value / slope;
    let next = x + newton;
    // Once the root is between two points, Newton's steps must at least halve: else they may run in a circle.
    const bracketed = Number.isFinite(high - low);
    const isShorter = !bracketed || Math.abs(newton) <= 0.5 * stepBefore;
    const isNewton = Math.abs(newton) <= maxStep && isShorter && next >= low && next <= high;
    if (!isNewton)
      next = bracketed ? 0.5 * (low + high) : Math.min(Math.max(x - Math.sign(value) * maxStep, low), high);
    if (isNewton && Math.abs(newton) <= lastStep * Math.max(1, Math.abs(x))) return next;
    if (high - low <= 4 * Number.EPSILON * Math.abs(x)) return x;
    stepBefore = Math.abs(next - x);
    x = next;
  }
  throw new ConvergenceError('risingRoot', maxIterations, x, high - low);
}
