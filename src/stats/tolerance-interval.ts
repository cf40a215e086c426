import { DomainError } from '../numeric/domain-error.ts';
import { integrate } from '../numeric/quadrature.ts';
import { findRoot } from '../numeric/root.ts';
import { mean, standardDeviation } from './descriptive.ts';
import { chiSquareCdf, normalCdf, normalQuantile } from './distributions.ts';
import type { Interval } from './intervals.ts';

export interface ToleranceShape {
  /** Number of readings. */
  readonly count: number;
  /** Share of the population that the interval is to hold; default 0.95. */
  readonly share?: number;
  readonly confidence?: number;
}

/**
 * Factor k [-] of the two-sided tolerance interval x̄ ± k·s that holds a share of a normal population with a confidence.
 *
 *   ∫ φ(z)·P(χ²ν > ν·r(z/√n)²/k²) dz = confidence,  r(x): Φ(x + r) − Φ(x − r) = share
 *
 * Valid for: two readings or more. Exact, not Howe's approximation.
 * Throws: DomainError for fewer than two readings, or shares outside 0 to 1.
 * Source: ISO 16269-6 (from memory); Odeh & Owen, Tables for Normal Tolerance Limits, 1980 (from memory).
 * Evidence: published factors for 10 and 20 readings, and ± z for very many.
 */
export function toleranceFactor({ count, share = 0.95, confidence = 0.95 }: ToleranceShape): number {
  if (!(Number.isInteger(count) && count >= 2)) throw new DomainError('count', count, '-', 'a whole number from 2 on');
  for (const [name, value] of Object.entries({ share, confidence })) {
    if (!(value > 0 && value < 1)) throw new DomainError(name, value, '-', 'between 0 and 1');
  }
  const nu = count - 1;
  const z = normalQuantile((1 + share) / 2);
  const held = (k: number): number => {
    const inside = (u: number): number => {
      const r = halfWidth(u / Math.sqrt(count), share, z);
      return (Math.exp(-0.5 * u * u) / Math.sqrt(2 * Math.PI)) * (1 - chiSquareCdf((nu * r * r) / (k * k), nu));
    };
    return 2 * integrate(inside, 0, 8, { relative: 1e-9 });
  };
  let high = 2 * z;
  while (held(high) < confidence) high *= 2;
  return findRoot(k => held(k) - confidence, z / 2, high, { relative: 1e-9 });
}

/** Interval that holds a share of a normal population with a confidence, in the unit of the values. See `toleranceFactor`. */
export function toleranceInterval(values: ArrayLike<number>, shape: Omit<ToleranceShape, 'count'> = {}): Interval {
  const k = toleranceFactor({ ...shape, count: values.length });
  const centre = mean(values);
  const half = k * standardDeviation(values);
  return { low: centre - half, high: centre + half };
}

/** r with Φ(x + r) − Φ(x − r) = share. */
function halfWidth(x: number, share: number, z: number): number {
  return findRoot(r => normalCdf(x + r) - normalCdf(x - r) - share, 0, x + z + 2, { relative: 1e-12 });
}
