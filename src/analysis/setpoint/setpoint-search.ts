import { gridValue } from '../../numeric/setting-grid.ts';
import type { OperatingPoint, Setting } from '../delivery/operating-point.ts';
import type { SpreadModel } from '../inputs/spread-terms.ts';

/** A setting that the station can hold, and what it delivers. */
export interface Pair extends Setting {
  readonly volume: number; // [m³]
  /** volume/aim − 1 [-]. */
  readonly error: number;
}

export interface RatedPair extends Pair {
  /** Predicted relative spread [-]. */
  readonly spread: number;
}

/** Dwells on the resolution of the station, as whole steps; or the one that is fixed. */
export type DwellChoice =
  | { readonly fixed: number }
  | { readonly first: number; readonly last: number; readonly step: number };

/** Errors and distances closer than this are equal, so that the next criterion decides and not binary rounding. */
const EQUAL = 1e-9;

/**
 * For each pressure the dwell step that comes nearest to the aim. A pressure is left out where nothing flows and where
 * the exact dwell lies outside the dwells by more than half a step.
 */
export function bestPairs(
  point: OperatingPoint,
  aim: number,
  pressures: readonly number[],
  dwells: DwellChoice,
): Pair[] {
  return pressures.flatMap(pressure => {
    if (pressure <= point.restPressure) return [];
    const pair = (dwell: number): Pair => {
      const { volume } = point.deliver({ pressure, dwell });
      return { pressure, dwell, volume, error: volume / aim - 1 };
    };
    if ('fixed' in dwells) return [pair(dwells.fixed)];
    const exact = point.dwellFor({ pressure, volume: aim });
    if (exact === null) return [];
    const steps = exact / dwells.step;
    if (steps < dwells.first - 0.5 - EQUAL || steps > dwells.last + 0.5 + EQUAL) return [];
    const inside = (count: number) => Math.min(dwells.last, Math.max(dwells.first, count));
    const below = pair(gridValue(inside(Math.floor(steps)), dwells.step));
    const above = pair(gridValue(inside(Math.floor(steps) + 1), dwells.step));
    return [Math.abs(above.error) < Math.abs(below.error) - EQUAL ? above : below];
  });
}

export interface Criteria {
  /** Relative volume error within which pairs are as good as exact [-]; null: none is, and the least error decides. */
  readonly fine: number | null;
  /** Geometric middle of the practical dwells [s]. */
  readonly middleDwell: number;
}

/** Pairs whose error is small enough to choose by spread; those of least error where there is none. */
function qualifiedPairs<P extends Pair>(pairs: readonly P[], fine: number | null): P[] {
  const good = fine === null ? [] : pairs.filter(pair => Math.abs(pair.error) <= fine + EQUAL);
  if (good.length > 0) return good;
  const least = leastOf(pairs, pair => Math.abs(pair.error));
  return pairs.filter(pair => Math.abs(pair.error) <= least + EQUAL);
}

/**
 * The setpoint among pairs: of the qualified ones the least predicted spread, then the dwell nearest the geometric middle
 * of the practical dwells (by ratio), then the smaller error, then the lower pressure. Null of none.
 */
export function choosePair(pairs: readonly Pair[], criteria: Criteria, spread: SpreadModel): RatedPair | null {
  if (pairs.length === 0) return null;
  const rated = qualifiedPairs(pairs, criteria.fine).map(pair => ({ ...pair, spread: spread.relative(pair) }));
  const distance = (pair: Pair) => Math.abs(Math.log(pair.dwell / criteria.middleDwell));
  const bySpread = leastBy(rated, pair => pair.spread, EQUAL * leastOf(rated, pair => pair.spread));
  const byDwell = leastBy(bySpread, distance, EQUAL);
  const byError = leastBy(byDwell, pair => Math.abs(pair.error), EQUAL);
  return leastBy(byError, pair => pair.pressure, 0)[0]!;
}

function leastBy<P>(pairs: readonly P[], measure: (pair: P) => number, grace: number): P[] {
  const least = leastOf(pairs, measure);
  return pairs.filter(pair => measure(pair) <= least + grace);
}

/** Without spreading a list that may be long into arguments. */
function leastOf<P>(pairs: readonly P[], measure: (pair: P) => number): number {
  return pairs.reduce((least, pair) => Math.min(least, measure(pair)), Number.POSITIVE_INFINITY);
}

/** The best pair of each of up to `count` equal stretches of ln(pressure), in the order of pressure. */
export function representativePairs(
  pairs: readonly Pair[],
  count: number,
  best: (stretch: readonly Pair[]) => RatedPair | null,
): RatedPair[] {
  if (pairs.length === 0) return [];
  const logs = pairs.map(pair => Math.log(pair.pressure));
  const low = leastOf(logs, log => log);
  const width = (-leastOf(logs, log => -log) - low) / count;
  const stretches = Array.from({ length: count }, (): Pair[] => []);
  pairs.forEach((pair, i) => {
    stretches[width === 0 ? 0 : Math.min(count - 1, Math.floor((logs[i]! - low) / width))]!.push(pair);
  });
  return stretches.flatMap(stretch => best(stretch) ?? []);
}
