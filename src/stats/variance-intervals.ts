import { DomainError } from '../numeric/domain-error.ts';
import { findRoot } from '../numeric/root.ts';
import { chiSquareQuantile, type FDegrees, fCdf } from './distributions.ts';
import type { Interval } from './intervals.ts';

/** A mean square of an analysis of variance, and its factor in a sum of variances. */
export interface MeanSquareTerm {
  /** Which mean square of the table. */
  readonly source: string;
  /** Above zero adds, below zero takes away. */
  readonly factor: number;
  readonly meanSquare: number;
  readonly degreesOfFreedom: number;
}

/**
 * Two-sided interval of a variance that is a sum of mean squares, in their unit; its ends are never below zero.
 *
 *   with one term exact: n·S²/χ²; else the estimate less √V_L, plus √V_U, where for factors that add
 *   V_L = Σ G²c²S⁴, V_U = Σ H²c²S⁴, G = 1 − n/χ²(1 − α/2; n), H = n/χ²(α/2; n) − 1,
 *   and terms that take away change places, with a cross term for every pair of unlike sign (and, below, for like pairs that add)
 *
 * Modified large sample: as for many degrees of freedom, and exact where one mean square rules.
 * Throws: DomainError without terms, or for degrees of freedom that are not positive.
 * Source: Graybill & Wang, J. Am. Stat. Assoc. 75 (1980) 869; Ting, Burdick, Graybill, Jeyaratnam & Lu, J. Stat. Comput. Simul. 35
 * (1990) 135; Burdick & Graybill, Confidence Intervals on Variance Components, 1992, ch. 3 (formulas from memory).
 * Evidence: one mean square; coverage by simulation.
 */
export function varianceInterval(terms: readonly MeanSquareTerm[], coverage = 0.95): Interval {
  const used = terms.filter(term => term.factor !== 0);
  if (used.length === 0) throw new DomainError('terms', 0, '-', 'one or more');
  const tail = (1 - coverage) / 2;
  const parts = used.map(({ factor, meanSquare, degreesOfFreedom: n }) => ({
    ...{ factor, n, size: Math.abs(factor) * meanSquare },
    g: 1 - n / chiSquareQuantile(1 - tail, n),
    h: n / chiSquareQuantile(tail, n) - 1,
  }));
  const adds = parts.filter(part => part.factor > 0);
  const takes = parts.filter(part => part.factor < 0);
  const estimate = parts.reduce((sum, part) => sum + Math.sign(part.factor) * part.size, 0);
  let below = 0;
  let above = 0;
  for (const part of adds) {
    below += (part.g * part.size) ** 2;
    above += (part.h * part.size) ** 2;
  }
  for (const part of takes) {
    below += (part.h * part.size) ** 2;
    above += (part.g * part.size) ** 2;
  }
  for (const add of adds) {
    for (const take of takes) {
      const degrees = { numerator: add.n, denominator: take.n };
      const high = fQuantile(1 - tail, degrees);
      const low = fQuantile(tail, degrees);
      const product = add.size * take.size;
      below += (((high - 1) ** 2 - (add.g * high) ** 2 - take.h ** 2) / high) * product;
      above += (((1 - low) ** 2 - (add.h * low) ** 2 - take.g ** 2) / low) * product;
    }
  }
  if (takes.length > 0) below += likePairs(adds, tail);
  if (adds.length > 0) above += likePairs(takes, tail);
  const root = (variance: number) => Math.sqrt(Math.max(0, variance));
  return { low: Math.max(0, estimate - root(below)), high: Math.max(0, estimate + root(above)) };
}

/** G* of Burdick & Graybill over all pairs of terms of one sign. */
function likePairs(parts: readonly { n: number; g: number; size: number }[], tail: number): number {
  let sum = 0;
  for (const [i, a] of parts.entries()) {
    for (const b of parts.slice(i + 1)) {
      const both = a.n + b.n;
      const g = 1 - both / chiSquareQuantile(1 - tail, both);
      const cross = (g * g * both * both) / (a.n * b.n) - (a.g * a.g * a.n) / b.n - (b.g * b.g * b.n) / a.n;
      sum += (cross / (parts.length - 1)) * a.size * b.size;
    }
  }
  return sum;
}

/** F with area p below it. */
function fQuantile(p: number, degrees: FDegrees): number {
  return Math.exp(findRoot(logF => fCdf(Math.exp(logF), degrees) - p, -40, 40, { absolute: 1e-12 }));
}
