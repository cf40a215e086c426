import { DomainError } from '../numeric/domain-error.ts';
import { integrate } from '../numeric/quadrature.ts';
import { findRoot } from '../numeric/root.ts';
import { chiSquareTail, normalCdf, normalQuantile } from './distributions.ts';

/** A mean this many of its standard deviations from the truth does not count any more. */
const FAR = 8.5;

/**
 * Factor k of the two-sided tolerance interval mean ± k·s of a normal distribution [-]: with the wanted confidence it
 * holds at least the wanted share of the distribution. Exact, for n readings with both parameters unknown:
 *
 *   ∫ P(χ²(n−1) > (n − 1)·r(z)²/k²) dN(z; 0, 1/n) = confidence,  with Φ(z + r) − Φ(z − r) = coverage
 *
 * Valid for: n of 2 and above; coverage and confidence between 0 and 1.
 * Throws: DomainError outside that.
 * Source: ISO 16269-6:2014, annex F; Odeh & Owen, Tables for Normal Tolerance Limits, 1980.
 * Evidence: table F of ISO 16269-6:2014; coverage of simulated samples.
 */
export function toleranceFactor(p: { n: number; coverage: number; confidence: number }): number {
  const { n, coverage, confidence } = p;
  if (!Number.isInteger(n) || n < 2) throw new DomainError('n', n, '-', 'a whole number of at least 2');
  for (const [name, value] of Object.entries({ coverage, confidence })) {
    if (!(value > 0 && value < 1)) throw new DomainError(name, value, '-', 'between 0 and 1');
  }
  const reach = FAR / Math.sqrt(n);
  const density = (z: number) => Math.sqrt((2 * n) / Math.PI) * Math.exp((-n * z * z) / 2); // of |z|
  const confidenceOf = (k: number) => {
    const held = (z: number) => chiSquareTail((n - 1) * (halfWidth(z, coverage) / k) ** 2, n - 1) * density(z);
    return integrate(held, 0, reach, { relative: 1e-10 });
  };
  const miss = (logarithm: number) => confidenceOf(Math.exp(logarithm)) - confidence;
  // known parameters are the least that can be; two readings the most
  return Math.exp(findRoot(miss, Math.log(normalQuantile((1 + coverage) / 2) / 2), Math.log(1e6), { relative: 1e-9 }));
}

/** Half-width about a mean that is z away from the middle of a standard normal distribution, so that it holds a share. */
function halfWidth(z: number, coverage: number): number {
  const least = normalQuantile((1 + coverage) / 2);
  const held = (r: number) => normalCdf(z + r) - normalCdf(z - r) - coverage;
  return z === 0 ? least : findRoot(held, least, z + least, { relative: 1e-12 });
}
