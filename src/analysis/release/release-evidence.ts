import { mean, standardDeviation } from '../../stats/descriptive.ts';
import { chiSquareTail } from '../../stats/distributions.ts';
import { toleranceFactor } from '../../stats/tolerance-interval.ts';
import { combineUncertainty, expandUncertainty } from '../../stats/uncertainty.ts';
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
  /** Effective; infinite where nothing was estimated from few readings. */
  readonly degreesOfFreedom: number;
  readonly coverageFactor: number;
  readonly halfWidth: number;
  readonly shared: readonly SharedCause[];
}

/**
 * Mean shot with its 95 % interval: scatter of the readings and what they share.
 *
 *   u² = s²/n + Σ (mean·shared)²;   half-width = t(ν)·u,  ν by Welch–Satterthwaite, only the scatter having n − 1
 *
 * For one reading the scatter is `predicted`, relative, which is taken as known.
 * Throws: DomainError for no readings.
 * Source: JCGM 100:2008, 4.2, 4.3, 5.1.2, G.4.1.
 * Evidence: by hand with one cause alone; t-interval of the readings where nothing is shared.
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
  const own = {
    sensitivity: 1,
    uncertainty: e.assumedScatter / Math.sqrt(count),
    ...(e.scatter !== null && { degreesOfFreedom: count - 1 }),
  };
  const shared = e.shared.map(({ relative }) => ({ sensitivity: e.mean, uncertainty: relative }));
  const { uncertainty, degreesOfFreedom } = combineUncertainty([own, ...shared]);
  const { factor, expanded } = expandUncertainty({ uncertainty, degreesOfFreedom });
  return { uncertainty, degreesOfFreedom, coverageFactor: factor, halfWidth: expanded };
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
