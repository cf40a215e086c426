import { DomainError, requireNonNegative } from '../numeric/domain-error.ts';
import { tQuantile } from './distributions.ts';

/** One input of an uncertainty budget. */
export interface UncertainInput {
  /** Derivative of the result by this input. */
  readonly sensitivity: number;
  /** Standard uncertainty, in the unit of the input. */
  readonly uncertainty: number;
  /** Default: infinitely many. */
  readonly degreesOfFreedom?: number;
}

/** Correlation of two inputs, by their place in the list. */
export interface InputCorrelation {
  readonly between: readonly [number, number];
  readonly r: number;
}

export interface CombinedUncertainty {
  /** Combined standard uncertainty, in the unit of the result. */
  readonly uncertainty: number;
  /** |sensitivity|·uncertainty of each input, in the unit of the result. */
  readonly contributions: readonly number[];
  /** Share of each input in the variance: its own square and half of every covariance it takes part in; they sum to one. */
  readonly shares: readonly number[];
  /** Effective degrees of freedom (Welch–Satterthwaite), not rounded; infinite where all inputs are. */
  readonly degreesOfFreedom: number;
}

/**
 * First-order combined standard uncertainty of a result, in its unit.
 *
 *   u² = Σ (cᵢuᵢ)² + 2 Σ cᵢuᵢ·cⱼuⱼ·rᵢⱼ;   ν = u⁴ / Σ (cᵢuᵢ)⁴/νᵢ
 *
 * Valid for: results close to linear over the uncertainties. The formula for ν is for independent inputs; with declared
 * correlations it is kept as the usual approximation.
 * Throws: DomainError for uncertainties below zero, r outside −1 to 1, a pair that names one input or none, or correlations
 * that no set of inputs can have (variance below zero).
 * Source: JCGM 100:2008, 5.1.2, 5.2.2, G.4.1.
 * Evidence: JCGM 100 H.1 and G.4.1, EA-4/02 S2, relative rule for products of powers.
 */
export function combineUncertainty(
  inputs: readonly UncertainInput[],
  correlations: readonly InputCorrelation[] = [],
): CombinedUncertainty {
  const signed = inputs.map((input, i) => {
    requireNonNegative(`inputs[${i}].uncertainty`, input.uncertainty, 'the unit of the input');
    return input.sensitivity * input.uncertainty;
  });
  const parts = signed.map(c => c * c);
  for (const [k, { between, r }] of correlations.entries()) {
    const [i, j] = between;
    if (i === j || signed[i] === undefined || signed[j] === undefined) {
      throw new DomainError(`correlations[${k}].between`, j, '-', 'two different inputs');
    }
    if (!(r >= -1 && r <= 1)) throw new DomainError(`correlations[${k}].r`, r, '-', 'from -1 to 1');
    const covariance = r * signed[i] * signed[j];
    parts[i]! += covariance;
    parts[j]! += covariance;
  }
  const scale = signed.reduce((s, c) => s + c * c, 0);
  const variance = parts.reduce((s, v) => s + v, 0);
  if (variance < -1e-12 * scale)
    throw new DomainError('correlations', variance, '-', 'such that the variance is not negative');
  const uncertainty = Math.sqrt(Math.max(variance, 0));
  const quartic = signed.reduce((s, c, i) => s + c ** 4 / (inputs[i]!.degreesOfFreedom ?? Number.POSITIVE_INFINITY), 0);
  return {
    uncertainty,
    contributions: signed.map(Math.abs),
    shares: parts.map(v => (variance > 0 ? v / variance : 0)),
    degreesOfFreedom: quartic > 0 ? uncertainty ** 4 / quartic : Number.POSITIVE_INFINITY,
  };
}

/**
 * Expanded uncertainty U = t·u for a coverage probability, with the degrees of freedom as they are, not truncated: the t
 * distribution is defined for any, and truncating 18.9987 to 18 would lose what 19.04 keeps.
 * Source: JCGM 100:2008, G.3 and G.4 (which allows interpolation as well as truncation).
 */
export function expandUncertainty(c: { uncertainty: number; degreesOfFreedom: number; coverage?: number }): {
  factor: number;
  expanded: number;
} {
  const factor = tQuantile((1 + (c.coverage ?? 0.95)) / 2, c.degreesOfFreedom);
  return { factor, expanded: factor * c.uncertainty };
}

/** Standard uncertainty of a rectangular (half-width/√3) or triangular (half-width/√6) distribution. JCGM 100, 4.3.7, 4.3.9. */
export function uncertaintyOfHalfWidth(halfWidth: number, shape: 'uniform' | 'triangular'): number {
  requireNonNegative('halfWidth', halfWidth, '-');
  return halfWidth / Math.sqrt(shape === 'uniform' ? 3 : 6);
}
