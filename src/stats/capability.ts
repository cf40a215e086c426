import { DomainError, requirePositive } from '../numeric/domain-error.ts';
import { chiSquareQuantile, normalQuantile } from './distributions.ts';
import type { Interval } from './intervals.ts';

export interface SpecificationLimits {
  readonly lower: number | null;
  readonly upper: number | null;
}

export interface CapabilityInput extends SpecificationLimits {
  readonly mean: number;
  readonly sd: number;
  /** Degrees of freedom of `sd`; infinite when it is known. */
  readonly degreesOfFreedom: number;
  /** Number of readings behind the mean. */
  readonly count: number;
  readonly confidence?: number;
}

export interface Capability {
  /** (upper − lower)/(6·sd); null with one limit. */
  readonly potential: number | null;
  /** Least of (upper − mean)/(3·sd) and (mean − lower)/(3·sd), of those limits that there are. */
  readonly actual: number;
  readonly potentialInterval: Interval | null;
  readonly actualInterval: Interval;
}

/**
 * Process capability [-] from a mean and a standard deviation: Cp and Cpk with the one within subgroups, Pp and Ppk with the overall one.
 *
 *   potential ·√(χ²(α/2, ν)/ν) … ·√(χ²(1 − α/2, ν)/ν)
 *   actual ± z·√(1/(9·N) + actual²/(2·ν))
 *
 * Valid for: normal readings of a stable process; the interval of `actual` is Bissell's approximation (N above about 25).
 * Throws: DomainError without any limit, with limits in the wrong order, or a standard deviation that is not positive.
 * Source: NIST/SEMATECH e-Handbook 6.1.6; Bissell, Appl. Stat. 39 (1990) 331 (interval); Montgomery, ch. 8.
 * Evidence: NIST 6.1.6 example, Montgomery's hard-bake data.
 */
export function capability(c: CapabilityInput): Capability {
  requirePositive('sd', c.sd, 'the unit of the readings');
  requirePositive('count', c.count, '-');
  const { lower, upper, degreesOfFreedom: nu } = c;
  if (lower === null && upper === null) throw new DomainError('limits', 0, '-', 'one at least');
  if (lower !== null && upper !== null && !(lower < upper))
    throw new DomainError('lower', lower, '-', `below upper, ${upper}`);
  const sides = [lower === null ? [] : [c.mean - lower], upper === null ? [] : [upper - c.mean]].flat();
  const actual = Math.min(...sides) / (3 * c.sd);
  const potential = lower === null || upper === null ? null : (upper - lower) / (6 * c.sd);
  const tail = (1 - (c.confidence ?? 0.95)) / 2;
  const ratio = (p: number): number => (nu === Number.POSITIVE_INFINITY ? 1 : Math.sqrt(chiSquareQuantile(p, nu) / nu));
  const half = normalQuantile(1 - tail) * Math.sqrt(1 / (9 * c.count) + actual ** 2 / (2 * nu));
  return {
    potential,
    actual,
    potentialInterval: potential === null ? null : { low: potential * ratio(tail), high: potential * ratio(1 - tail) },
    actualInterval: { low: actual - half, high: actual + half },
  };
}
