import { DomainError } from './domain-error.ts';
import { type FitParameter, fitLeastSquares, type LeastSquaresFit, type LeastSquaresProblem } from './least-squares.ts';

/** How far a parameter may go while the fit stays good enough; null: that side has no end. */
export interface ProfileInterval {
  readonly low: number | null;
  readonly high: number | null;
  /** A point with a smaller sum of squares than the fit's, met on the way: the fit had not found the least. */
  readonly better: Float64Array | null;
}

export interface ProfileQuestion {
  readonly problem: LeastSquaresProblem;
  readonly fit: LeastSquaresFit;
  /** Index of the parameter. */
  readonly parameter: number;
  /** Greatest sum of squares that still counts as a fit, above the fit's own. */
  readonly limit: number;
}

/** A side that is still good enough at so many times the estimate, or the first step if that is longer, has no end. */
const FAR = 1e4;
/** Digits of an end, as a share of its distance in the root of the sum's growth. */
const DIGITS = 1e-4;
const MOST_STEPS = 40;
/** An offset of a hundredth of the estimates' uncertainty leaves the root of the growth right to some five digits. */
const FOLLOWING = { sumOnly: true, relativeOffset: 0.01, roundingOffset: 0.1, relativeGain: 1e-5, maxIterations: 25 };
/** A sum this share smaller than the fit's is no rounding. */
const BETTER = 1e-4;

/** A point of the profile: the parameter, all parameters there, and the root of how much the sum has grown. */
interface Stand {
  readonly value: number;
  readonly x: Float64Array;
  readonly root: number;
}

/**
 * Profile of a least-squares fit: how far one parameter can move, the others following, until the least sum of squares reaches a limit.
 *
 *   S(θ) = min over the others of Σ r²;  low and high: where S(θ) = limit.  With limit = S₀·(1 + t²/ν), t of 1 − α/2 on ν degrees of
 *   freedom, it is the likelihood interval of a normal error at level 1 − α
 *
 * An end at a bound is the bound. Valid for: fits that have converged. Null for a side that is good enough however far it goes.
 * Throws: DomainError for a limit not above the fit's sum of squares.
 * Source: Bates & Watts, Nonlinear Regression Analysis and Its Applications, Wiley 1988, sec. 6.1.
 * Evidence: intervals published for the Puromycin data of that book; closed profiles; coverage by simulation in the fits that use it.
 */
export function profileInterval(question: ProfileQuestion): ProfileInterval {
  const { fit, limit } = question;
  if (!(limit > fit.sumOfSquares)) {
    throw new DomainError('limit', limit, '-', `above the sum of squares of the fit, ${fit.sumOfSquares}`);
  }
  const better: { x: Float64Array | null } = { x: null };
  const [low, high] = [-1, 1].map(way => endOf(question, way, better));
  return { low: low!, high: high!, better: better.x };
}

function endOf(question: ProfileQuestion, way: number, better: { x: Float64Array | null }): number | null {
  const { problem, fit, parameter: k, limit } = question;
  const { lower = Number.NEGATIVE_INFINITY, upper = Number.POSITIVE_INFINITY } = problem.parameters[k]!;
  const bound = way < 0 ? lower : upper;
  const estimate = fit.parameters[k]!;
  const wanted = Math.sqrt(limit - fit.sumOfSquares);
  const first = firstDistance(question, wanted);
  const far = FAR * Math.max(Math.abs(estimate), first);
  const start: Stand = { value: estimate, x: fit.parameters, root: 0 };
  if (estimate === bound) return bound;
  let [before, inside] = [start, start];
  let distance = first;
  for (let step = 0; step < MOST_STEPS; step++) {
    const value = way < 0 ? Math.max(estimate - distance, bound) : Math.min(estimate + distance, bound);
    const stand = standAt(question, value, [before, inside], better);
    if (!(stand.root < wanted)) return crossing(question, [inside, stand], wanted, better);
    if (value === bound) return bound;
    if (distance > far) return null;
    [before, inside] = [inside, stand];
    const growth = stand.root > 0 ? (1.05 * wanted) / stand.root : 10;
    distance *= Math.min(Math.max(growth, 1.3), 10);
  }
  return null;
}

/** Where the profile would end if the residuals were straight lines in the parameters; a tenth of the parameter where that is not known. */
function firstDistance({ problem, fit, parameter: k }: ProfileQuestion, wanted: number): number {
  const error = fit.standardErrors?.[k] ?? 0;
  const straight = fit.residualSd ? (error / fit.residualSd) * wanted : 0;
  const size = Math.abs(fit.parameters[k]!) || problem.parameters[k]!.typical || 1;
  return straight > 0 && Number.isFinite(straight) ? Math.min(straight, 10 * size + straight / 10) : size / 10;
}

/**
 * The other parameters at their best for a value of this one, started where the last two points lead. A point that is not good enough is
 * tried once more from the neighbour itself, for a start that leaps can fall into another valley.
 */
function standAt(
  question: ProfileQuestion,
  value: number,
  [before, inside]: readonly [Stand, Stand],
  better: { x: Float64Array | null },
): Stand {
  const { fit, limit } = question;
  let best: { sumOfSquares: number; parameters: Float64Array } | null = null;
  for (const start of [extrapolated(question, value, before, inside), inside.x]) {
    if (best !== null && best.sumOfSquares < limit) break;
    const next = followed(question, value, start);
    if (next !== null && !(best !== null && best.sumOfSquares <= next.sumOfSquares)) best = next;
  }
  if (best === null) return { value, x: inside.x, root: Number.POSITIVE_INFINITY };
  if (best.sumOfSquares < fit.sumOfSquares * (1 - BETTER)) better.x ??= best.parameters;
  return { value, x: best.parameters, root: Math.sqrt(Math.max(best.sumOfSquares - fit.sumOfSquares, 0)) };
}

/** Null where the model has no finite values there. */
function followed({ problem, parameter: k }: ProfileQuestion, value: number, from: Float64Array) {
  const parameters = problem.parameters.map(
    (p, j): FitParameter => (j === k ? { start: value, fixed: true } : { ...p, start: from[j]! }),
  );
  try {
    return fitLeastSquares({ ...problem, parameters, options: { ...problem.options, ...FOLLOWING } });
  } catch (error) {
    if (error instanceof DomainError) return null;
    throw error;
  }
}

/** A parameter goes at most this share of its way to a bound: at the bound the model may have lost what the others act by. */
const TOWARDS_BOUND = 0.75;

function extrapolated({ problem, fit, parameter: k }: ProfileQuestion, value: number, before: Stand, inside: Stand) {
  const step = value - inside.value;
  const span = inside.value - before.value;
  const n = fit.parameters.length;
  const own = fit.covariance?.data[k * n + k] ?? 0;
  return inside.x.map((v, j) => {
    const tangent = own > 0 ? fit.covariance!.data[j * n + k]! / own : 0;
    const slope = span === 0 ? tangent : (v - before.x[j]!) / span;
    const { lower = Number.NEGATIVE_INFINITY, upper = Number.POSITIVE_INFINITY } = problem.parameters[j]!;
    const least = lower === Number.NEGATIVE_INFINITY ? lower : v + TOWARDS_BOUND * (lower - v);
    const most = upper === Number.POSITIVE_INFINITY ? upper : v + TOWARDS_BOUND * (upper - v);
    return Math.min(Math.max(v + slope * step, least), most);
  });
}

/** Between a point that is good enough and one that is not: the false position where both are numbers, else the middle. */
function crossing(
  question: ProfileQuestion,
  [inside, outside]: readonly [Stand, Stand],
  wanted: number,
  better: { x: Float64Array | null },
): number {
  let [near, far] = [inside, outside];
  let weight = 1; // Illinois: an end that stays twice counts half
  for (let step = 0; step < MOST_STEPS; step++) {
    const value = between(near, far, wanted, weight);
    const stand = standAt(question, value, [near, near], better);
    if (Math.abs(stand.root - wanted) <= DIGITS * wanted) return value;
    if (stand.root < wanted) {
      near = stand;
      weight /= 2;
    } else {
      far = stand;
      weight = 1;
    }
    if (Math.abs(far.value - near.value) <= DIGITS * Math.abs(far.value - question.fit.parameters[question.parameter]!))
      break;
  }
  return near.value;
}

function between(near: Stand, far: Stand, wanted: number, weight: number): number {
  const [a, b] = [near.value, far.value];
  const apart = a * b > 0 && Math.max(a / b, b / a) > 4;
  if (!Number.isFinite(far.root)) return apart ? Math.sign(a) * Math.sqrt(a * b) : (a + b) / 2;
  const [low, high] = [wanted - near.root, (far.root - wanted) * weight];
  const share = Math.min(Math.max(low / (low + high), 0.02), 0.98);
  return apart ? a * (b / a) ** share : a + (b - a) * share;
}
