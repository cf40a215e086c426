import { mean, standardDeviation } from '../../stats/descriptive.ts';
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

/** More readings than anybody takes of one syringe. */
const MOST_READINGS = 50;

/**
 * How many readings more, like these, would bring the interval about a mean inside limits; null where not even
 * {@link MOST_READINGS} in all would, because of what all readings share.
 */
export function readingsToSettle(e: Evidence, p: { mean: number; min: number; max: number }): number | null {
  const room = Math.min(p.max - p.mean, p.mean - p.min) / p.mean;
  for (let count = Math.max(2, e.count + 1); count <= MOST_READINGS; count++) {
    const { halfWidth } = widthOf({ ...e, scatter: e.assumedScatter }, count);
    if (halfWidth / e.mean <= room) return count - e.count;
  }
  return null;
}
