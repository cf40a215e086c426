import { mean, standardDeviation } from '../../stats/descriptive.ts';
import { chiSquareTail, tQuantile } from '../../stats/distributions.ts';
import { toleranceFactor } from '../../stats/tolerance-interval.ts';
import type { ReadVolumes, SharedCause } from './release-readings.ts';

/** What the readings say about the mean shot of a syringe; volumes in m³. */
export interface Evidence {
  readonly mean: number;
  /** Sample standard deviation (n − 1) of the readings, each a mean of its shots; null for one reading. */
  readonly scatter: number | null;
  /** Scatter that was used: the readings' own, or for one reading the recipe's prediction. */
  readonly assumedScatter: number;
  readonly count: number;
  /** Combined standard uncertainty of the mean. */
  readonly uncertainty: number;
  readonly halfWidth: number;
  readonly shared: readonly SharedCause[];
}

/**
 * Mean shot with its 95 % interval: scatter of the readings and what they share.
 *
 *   half-width² = (t(n − 1)·s/√n)² + (1.96·mean)²·Σ shared²
 *
 * Each part at its own factor. One factor for both, with effective degrees of freedom (JCGM 100:2008, G.4.1), is too small where
 * three readings lie close together by chance: a syringe at its limit then passed in 3.8 % of 2000 simulated checks.
 * For one reading the scatter is `predicted`, relative, which is taken as known.
 * Throws: DomainError for no readings.
 * Source: JCGM 100:2008, 4.2, 4.3, 5.1.2; Graybill & Wang, J. Am. Stat. Assoc. 75 (1980) 869, for parts in quadrature.
 * Evidence: by hand with one cause alone; t-interval of the readings where nothing is shared; rates of error by simulation.
 */
export function evidenceOf(read: Pick<ReadVolumes, 'volumes' | 'shared'>, predicted: number): Evidence {
  const centre = mean(read.volumes);
  const count = read.volumes.length;
  const scatter = count > 1 ? standardDeviation(read.volumes) : null;
  const assumedScatter = scatter ?? predicted * centre;
  const base = { mean: centre, scatter, assumedScatter, count, shared: read.shared };
  return { ...base, ...widthOf(base, count) };
}

function widthOf(e: Pick<Evidence, 'mean' | 'scatter' | 'assumedScatter' | 'shared'>, count: number) {
  const own = e.assumedScatter / Math.sqrt(count);
  const shared = e.mean * Math.hypot(...e.shared.map(({ relative }) => relative));
  const ofOwn = twoSided(e.scatter === null ? Number.POSITIVE_INFINITY : count - 1);
  return {
    uncertainty: Math.hypot(own, shared),
    halfWidth: Math.hypot(own === 0 ? 0 : ofOwn * own, twoSided(Number.POSITIVE_INFINITY) * shared),
  };
}

/** Half-width of the interval [m³] were the scatter so many times the one that was used. */
export function wideAt(e: Evidence, times: number): number {
  return widthOf({ ...e, assumedScatter: times * e.assumedScatter }, e.count).halfWidth;
}

/** Quantiles that were worked out before: a rehearsal makes thousands of checks alike. */
const QUANTILES = new Map<number, number>();

function twoSided(degreesOfFreedom: number): number {
  const known = QUANTILES.get(degreesOfFreedom) ?? tQuantile(0.975, degreesOfFreedom);
  QUANTILES.set(degreesOfFreedom, known);
  return known;
}

/** Scatter of the readings beside the predicted one, both over the mean. */
export interface ScatterTest {
  readonly observed: number | null;
  readonly predicted: number;
  /** Chance of as much scatter or more, where the prediction holds; null for one reading. */
  readonly p: number | null;
}

/**
 * Whether readings scatter more than they should: (n − 1)·s²/σ² against χ² of n − 1 degrees of freedom, its upper tail.
 * Source: JCGM 100:2008, 4.2; any text on the variance of a normal sample. Evidence: rate of false alarms by simulation.
 */
export function scatterTest({ scatter, mean, count }: Evidence, predicted: number): ScatterTest {
  if (scatter === null) return { observed: null, predicted, p: null };
  const observed = scatter / mean;
  const ratio = observed === 0 ? 0 : (observed / predicted) ** 2;
  return { observed, predicted, p: Number.isFinite(ratio) ? chiSquareTail((count - 1) * ratio, count - 1) : 0 };
}

/** Of single shots: at least this share, with this confidence. */
const CONTENT = { coverage: 0.95, confidence: 0.95 } as const;

/**
 * Interval that holds 95 % of the syringe's shots with 95 % confidence [m³]; null for one reading.
 *
 *   mean ± k(n)·s·√shots, s the scatter of readings of so many shots each
 *
 * Source: ISO 16269-6:2014. Holds for shots that differ by chance alone; what all readings share is not in it.
 */
export function contentOf({ mean, scatter, count }: Evidence, shots: number): readonly [number, number] | null {
  if (scatter === null) return null;
  const reach = contentFactor(count) * scatter * Math.sqrt(shots);
  return [mean - reach, mean + reach];
}

/** Factors that were worked out before: one takes as long as all the rest of a check. */
const FACTORS = new Map<number, number>();

function contentFactor(n: number): number {
  const known = FACTORS.get(n) ?? toleranceFactor({ n, ...CONTENT });
  FACTORS.set(n, known);
  return known;
}

/** More readings than anybody takes of one syringe. */
const MOST_READINGS = 50;

/**
 * How many readings more, like these, would settle what these leave open; null where not even {@link MOST_READINGS} in
 * all would, because of what all readings share. `settles` is told the relative half-width of the mean.
 */
export function readingsToSettle(e: Evidence, settles: (relative: number) => boolean): number | null {
  const does = (count: number) => settles(widthOf({ ...e, scatter: e.assumedScatter }, count).halfWidth / e.mean);
  let low = Math.max(1, e.count); // does not
  let high = MOST_READINGS;
  if (low >= high || !does(high)) return null;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (does(middle)) high = middle;
    else low = middle;
  }
  return high - e.count;
}
