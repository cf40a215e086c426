import { DomainError } from './domain-error.ts';

/** Fills `out` with one number per observation for the given parameters. */
export type VectorFunction = (parameters: Float64Array, out: Float64Array) => void;

export interface JacobianArguments {
  readonly fn: VectorFunction;
  /** How many numbers `fn` gives. */
  readonly count: number;
  readonly at: Float64Array;
  /** Which parameters to differentiate by; the columns of the result, in this order. */
  readonly by: readonly number[];
  readonly lower: Float64Array;
  readonly upper: Float64Array;
  /** Usual size of each parameter; keeps the step from vanishing where a value passes zero. */
  readonly typical: Float64Array;
  /** Spend six to twelve times the calls on some five more digits. */
  readonly careful: boolean;
}

/** First relative step of the five-point formula: truncation (h⁴) and rounding (ε/h) are about equal for x·f′/f near one. */
const STEP = Number.EPSILON ** (1 / 5);
/** Relative step of the three-point formula, likewise (h² against ε/h). */
const QUICK_STEP = Math.cbrt(Number.EPSILON);
/** How many times the careful formula divides its step by four. */
const REFINEMENTS = 4;
/** Second difference over size of the values below which a function counts as straight over a long step: rounding, with room. */
const STRAIGHT = 1e-13;

/**
 * Numeric Jacobian of a vector function by central differences, row after row.
 *
 *   quick    f′(x) ≈ (f(x + h) − f(x − h)) / (2h),  h = ε^(1/3)·max(|x|, typical/1000)
 *   careful  f′(x) ≈ (f(x − 2h) − 8 f(x − h) + 8 f(x + h) − f(x + 2h)) / (12 h),  h from ε^(1/5)·max(…) down by fours;
 *            of two neighbouring steps that agree best, the smaller counts (a step fit for |x| is too long for a narrow peak);
 *            where the function is straight over a step that moves it by its own size, that step: all digits are then right
 *
 * Close to a bound, or where a point of the formula gives no finite number, the step shrinks; at the bound itself the
 * three-point formula of the inner side is used.
 * Shape: count × by.length, element (i, j) at i·by.length + j.
 * Throws: DomainError when the function has no finite values around the point.
 * Source: Abramowitz & Stegun 25.3.4 and 25.3.6 (formulas).
 * Evidence: against analytic derivatives of exponentials and of a narrow peak, at a bound and away from it.
 */
export function numericJacobian(a: JacobianArguments): Float64Array {
  const columns = a.by.length;
  const out = new Float64Array(a.count * columns);
  const x = Float64Array.from(a.at);
  for (const [column, j] of a.by.entries()) {
    const derivative = (a.careful ? careful(a, x, j) : quick(a, x, j)) ?? oneSided(a, x, j);
    if (derivative === null)
      throw new DomainError(`parameter ${j}`, a.at[j]!, '-', 'where the model has finite values');
    for (let i = 0; i < a.count; i++) out[i * columns + column] = derivative[i]!;
  }
  return out;
}

function quick(a: JacobianArguments, x: Float64Array, j: number): Float64Array | null {
  const at = a.at[j]!;
  const full = QUICK_STEP * stepSize(at, a.typical[j]!);
  for (let h = Math.min(full, roomAt(a, j)); h >= full / 1000 && h > 0; h /= 10) {
    const step = exactStep(at, h);
    const before = valuesAt(a, x, j, at - step);
    const after = valuesAt(a, x, j, at + step);
    if (before && after) return after.map((f, i) => (f - before[i]!) / (2 * step));
  }
  return null;
}

function careful(a: JacobianArguments, x: Float64Array, j: number): Float64Array | null {
  const full = Math.min(STEP * stepSize(a.at[j]!, a.typical[j]!), roomAt(a, j) / 2);
  let best: Float64Array | null = null;
  let bestChange = Number.POSITIVE_INFINITY;
  let last: Float64Array | null = null;
  for (let k = 0; k <= REFINEMENTS && full > 0; k++) {
    const now = fivePoint(a, x, j, full / 4 ** k);
    if (now === null) continue;
    if (last !== null) {
      const before = last;
      const change = now.reduce((sum, d, i) => sum + (d - before[i]!) ** 2, 0);
      if (change < bestChange) {
        bestChange = change;
        best = now;
      }
    }
    last = now;
  }
  const found = best ?? last;
  return found === null ? null : (straight(a, x, j, found) ?? found);
}

/** The derivative by a step so long that rounding is nothing beside it; null where the function bends over it. */
function straight(a: JacobianArguments, x: Float64Array, j: number, known: Float64Array): Float64Array | null {
  const at = a.at[j]!;
  const here = valuesAt(a, x, j, at);
  const slope = norm(known);
  if (here === null || slope === 0) return null;
  const wanted = Math.max(Math.abs(at), a.typical[j]!, norm(here) / slope);
  const step = exactStep(at, Math.min(wanted, roomAt(a, j)));
  const before = valuesAt(a, x, j, at - step);
  const after = valuesAt(a, x, j, at + step);
  if (step === 0 || before === null || after === null) return null;
  const bend = norm(here.map((f, i) => before[i]! + after[i]! - 2 * f));
  if (bend > STRAIGHT * (norm(before) + norm(after))) return null;
  const derivative = after.map((f, i) => (f - before[i]!) / (2 * step));
  // What is odd about this point (a cubic at its inflection) has no second difference either: both must agree, but for rounding.
  const noise = (16 * Number.EPSILON * norm(here)) / (STEP * stepSize(at, a.typical[j]!));
  return norm(derivative.map((d, i) => d - known[i]!)) < 1e-6 * slope + noise ? derivative : null;
}

function norm(values: Float64Array): number {
  return Math.sqrt(values.reduce((sum, v) => sum + v * v, 0));
}

function fivePoint(a: JacobianArguments, x: Float64Array, j: number, h: number): Float64Array | null {
  const at = a.at[j]!;
  const step = exactStep(at, h);
  if (step === 0) return null;
  const [b2, b1, f1, f2] = [-2, -1, 1, 2].map(k => valuesAt(a, x, j, at + k * step));
  if (!b2 || !b1 || !f1 || !f2) return null;
  return f1.map((f, i) => (b2[i]! - f2[i]! + 8 * (f - b1[i]!)) / (12 * step));
}

/** Distance to the nearer bound. */
function roomAt(a: JacobianArguments, j: number): number {
  return Math.min(a.at[j]! - a.lower[j]!, a.upper[j]! - a.at[j]!);
}

function oneSided(a: JacobianArguments, x: Float64Array, j: number): Float64Array | null {
  const at = a.at[j]!;
  const here = valuesAt(a, x, j, at);
  if (!here) return null;
  const full = QUICK_STEP * stepSize(at, a.typical[j]!);
  for (let h = full; h >= full / 1000; h /= 10) {
    for (const side of [1, -1]) {
      const step = side * exactStep(at, h);
      if (at + 2 * step > a.upper[j]! || at + 2 * step < a.lower[j]!) continue;
      const one = valuesAt(a, x, j, at + step);
      const two = valuesAt(a, x, j, at + 2 * step);
      if (one && two) return here.map((f, i) => (4 * one[i]! - two[i]! - 3 * f) / (2 * step));
    }
  }
  return null;
}

function stepSize(at: number, typical: number): number {
  return Math.max(Math.abs(at), typical / 1000);
}

/** The step that floating-point numbers around `at` can really make. */
function exactStep(at: number, h: number): number {
  return at + h - at;
}

/** Values with parameter j moved, or null where one is not finite. `x` is left as it was. */
function valuesAt(a: JacobianArguments, x: Float64Array, j: number, value: number): Float64Array | null {
  const keep = x[j]!;
  x[j] = value;
  const out = new Float64Array(a.count);
  a.fn(x, out);
  x[j] = keep;
  return out.every(Number.isFinite) ? out : null;
}
