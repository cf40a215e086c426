import { type RandomSource, randomSource } from '../numeric/random.ts';
import type { AnovaStudy, VarianceRow } from './gauge-rr.ts';
import type { Interval } from './intervals.ts';
import { type MeanSquareTerm, varianceInterval } from './variance-intervals.ts';

/** 95 % intervals of a gauge study: standard deviations in the unit of the readings. */
export interface GaugeIntervals {
  readonly repeatability: Interval;
  /** Null where the interaction was pooled. */
  readonly interaction: Interval | null;
  readonly reproducibility: Interval;
  readonly gauge: Interval;
  readonly part: Interval;
  readonly total: Interval;
  /** Gauge over total [-]. */
  readonly share: Interval;
}

const DRAWS = 10_000;
const SEED = 1;

/**
 * Intervals of the deviations of a gauge study by analysis of variance.
 *
 * The variances are sums of mean squares ({@link varianceInterval}); the ratio of gauge to total is taken from draws of the
 * mean squares' own distributions with a fixed seed.
 * Source: Burdick, Borror & Montgomery, Design and Analysis of Gauge R&R Studies, 2005, ch. 3 and app. B (from memory).
 * Evidence: coverage of every interval by simulation.
 */
export function gaugeIntervals(
  study: AnovaStudy,
  size: { parts: number; operators: number; repeats: number },
): GaugeIntervals {
  const { parts: p, operators: o, repeats: r } = size;
  const rows = study.pooledAnova ?? study.anova;
  const row = (source: VarianceRow['source']) => rows.find(one => one.source === source);
  const term = (source: VarianceRow['source'], factor: number): MeanSquareTerm => {
    const { ms, df } = row(source)!;
    return { source, factor, meanSquare: ms!, degreesOfFreedom: df };
  };
  const crossed = row('interaction') === undefined ? ('repeatability' as const) : ('interaction' as const);
  const pooled = crossed === 'repeatability';
  // Expected mean squares: the part is over its interaction, the operator too; both over the repeatability.
  const repeatability = [term('repeatability', 1)];
  const interaction = pooled ? null : [term('interaction', 1 / r), term('repeatability', -1 / r)];
  const reproducibility = pooled
    ? [term('operator', 1 / (p * r)), term('repeatability', -1 / (p * r))]
    : [term('operator', 1 / (p * r)), term('interaction', (p - 1) / (p * r)), term('repeatability', -1 / r)];
  const gauge = pooled
    ? [term('operator', 1 / (p * r)), term('repeatability', 1 - 1 / (p * r))]
    : [term('operator', 1 / (p * r)), term('interaction', (p - 1) / (p * r)), term('repeatability', 1 - 1 / r)];
  const part = [term('part', 1 / (o * r)), term(crossed, -1 / (o * r))];
  const total = summed([...gauge, ...part]);
  const deviation = (terms: MeanSquareTerm[]): Interval => {
    const { low, high } = varianceInterval(terms);
    return { low: Math.sqrt(low), high: Math.sqrt(high) };
  };
  return {
    repeatability: deviation(repeatability),
    interaction: interaction && deviation(interaction),
    reproducibility: deviation(reproducibility),
    gauge: deviation(gauge),
    part: deviation(part),
    total: deviation(total),
    share: shareInterval(gauge, part),
  };
}

/** Terms of one mean square together. */
function summed(terms: readonly MeanSquareTerm[]): MeanSquareTerm[] {
  const bySource = new Map<string, MeanSquareTerm>();
  for (const one of terms) {
    bySource.set(one.source, { ...one, factor: one.factor + (bySource.get(one.source)?.factor ?? 0) });
  }
  return [...bySource.values()];
}

/**
 * Interval of √(gauge/(gauge + part)): generalized, from draws of n·S²/χ²(n) for every mean square (Weerahandi 1993).
 */
function shareInterval(gauge: readonly MeanSquareTerm[], part: readonly MeanSquareTerm[]): Interval {
  const random = randomSource(SEED);
  const squares = summed([...gauge, ...part]);
  const place = new Map(squares.map(({ source }, k) => [source, k]));
  const shares = new Float64Array(DRAWS);
  for (let i = 0; i < DRAWS; i++) {
    const drawn = squares.map(({ meanSquare, degreesOfFreedom: n }) => (n * meanSquare) / chiSquareDraw(n, random));
    const of = (terms: readonly MeanSquareTerm[]) =>
      Math.max(
        0,
        terms.reduce((sum, one) => sum + one.factor * drawn[place.get(one.source)!]!, 0),
      );
    const measured = of(gauge);
    shares[i] = Math.sqrt(measured / (measured + of(part)));
  }
  shares.sort();
  return { low: shares[Math.floor(0.025 * DRAWS)]!, high: shares[Math.ceil(0.975 * DRAWS) - 1]! };
}

/**
 * A draw from χ²: twice one from the gamma distribution of shape n/2.
 * Source: Marsaglia & Tsang, ACM Trans. Math. Softw. 26 (2000) 363; below shape 1 by a power of a uniform, as they say there.
 */
function chiSquareDraw(n: number, random: RandomSource): number {
  const boost = n < 2 ? random.uniform() ** (2 / n) : 1;
  const d = (n < 2 ? n / 2 + 1 : n / 2) - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = random.normal();
    const v = (1 + c * x) ** 3;
    if (v <= 0) continue;
    if (Math.log(1 - random.uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return 2 * d * v * boost;
  }
}
