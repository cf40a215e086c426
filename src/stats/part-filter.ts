import { DomainError, requireNonNegative } from '../numeric/domain-error.ts';

/**
 * What is known of a sum of parts that are never seen apart: the best guess of each part, with variances and covariances. Beside
 * them stands one standard error that all readings share, whose size a reading tells (`shared`); it is carried, never estimated.
 */
export interface PartsKnown {
  readonly parts: readonly number[];
  /** Row after row, the parts and behind them the shared error, whose own variance is 1. */
  readonly covariance: readonly (readonly number[])[];
}

/** A reading of the sum of all parts. */
export interface PartsReading {
  readonly value: number;
  /** Variance of what this reading has for itself. */
  readonly noise: number;
  /** Standard uncertainty of what it shares with other readings. */
  readonly shared: number;
}

/** What one reading of the sum made of what was known. */
export interface PartsUpdate {
  readonly known: PartsKnown;
  /** Share of the reading in the new sum. */
  readonly gain: number;
  /** Reading less what was expected, and the variance that it was expected to have. */
  readonly surprise: number;
  readonly surpriseVariance: number;
}

/** Nothing known of so many parts but that each is zero, exactly: whatever varies is given by {@link withNewPart}. */
export function noParts(count: number): PartsKnown {
  const size = count + 1;
  const covariance = Array.from({ length: size }, (_, i) =>
    Array.from({ length: size }, (__, j) => (i === count && j === count ? 1 : 0)),
  );
  return { parts: new Array<number>(count).fill(0), covariance };
}

/** A part is another one now: zero, with a variance of its own, and nothing to do with what was known. */
export function withNewPart({ parts, covariance }: PartsKnown, part: number, variance: number): PartsKnown {
  requireNonNegative('variance', variance, '-');
  return {
    parts: parts.map((value, i) => (i === part ? 0 : value)),
    covariance: covariance.map((row, i) =>
      row.map((value, j) => (i === part || j === part ? (i === j ? variance : 0) : value)),
    ),
  };
}

/** A part has wandered by as much as a variance says. */
export function withWander({ parts, covariance }: PartsKnown, part: number, variance: number): PartsKnown {
  requireNonNegative('variance', variance, '-');
  return {
    parts,
    covariance: covariance.map((row, i) =>
      row.map((value, j) => (i === part && j === part ? value + variance : value)),
    ),
  };
}

/** The sum of all parts, its variance, and its covariance with the shared error. */
export function sumOfParts({ parts, covariance }: PartsKnown): { value: number; variance: number; shared: number } {
  const last = parts.length;
  let variance = 0;
  let shared = 0;
  for (let i = 0; i < last; i++) {
    for (let j = 0; j < last; j++) variance += covariance[i]![j]!;
    shared += covariance[i]![last]!;
  }
  return { value: parts.reduce((sum, part) => sum + part, 0), variance: Math.max(variance, 0), shared };
}

/**
 * What is known after a reading z = Σ parts + shared·b + noise, with b the shared error: a Kalman filter in which b is considered
 * and not estimated (gain zero), so that readings that are all off alike are never taken for a sure one.
 *
 *   h = (1, …, 1, shared);  S = h P hᵀ + noise;  kᵢ = (P hᵀ)ᵢ/S for parts, 0 for b;  P ← (I − k h) P (I − k h)ᵀ + noise·k kᵀ
 *
 * With one part that wanders by q between readings of noise r the gain tends to λ, λ²/(1 − λ) = q/r: an EWMA.
 * Throws: DomainError for a noise or a shared error below zero.
 * Source: Kalman, J. Basic Eng. 82 (1960) 35; Schmidt, Adv. Control Syst. 3 (1966) 293, for the error that is considered; Joseph's
 * form of the update.
 * Evidence: closed form of the steady gain, Bayes' rule for one part, the exact weights of an IMA(1,1).
 */
export function updateParts(known: PartsKnown, { value, noise, shared }: PartsReading): PartsUpdate {
  requireNonNegative('noise', noise, '-');
  requireNonNegative('shared', shared, '-');
  if (!Number.isFinite(value)) throw new DomainError('value', value, '-', 'finite');
  const { parts, covariance } = known;
  const last = parts.length;
  const size = last + 1;
  const h = (i: number) => (i === last ? shared : 1);
  const seen = covariance.map(row => row.reduce((sum, element, j) => sum + element * h(j), 0)); // P hᵀ
  const surpriseVariance = seen.reduce((sum, element, i) => sum + element * h(i), 0) + noise;
  const surprise = value - sumOfParts(known).value;
  if (!(surpriseVariance > 0)) return { known, gain: 0, surprise, surpriseVariance: 0 };
  const gains = seen.map((element, i) => (i === last ? 0 : element / surpriseVariance));
  const next = Array.from({ length: size }, (_, i) =>
    Array.from(
      { length: size },
      (__, j) =>
        covariance[i]![j]! - gains[i]! * seen[j]! - gains[j]! * seen[i]! + gains[i]! * gains[j]! * surpriseVariance,
    ),
  );
  return {
    known: { parts: parts.map((part, i) => part + gains[i]! * surprise), covariance: next },
    gain: gains.reduce((sum, gain) => sum + gain, 0),
    surprise,
    surpriseVariance,
  };
}
