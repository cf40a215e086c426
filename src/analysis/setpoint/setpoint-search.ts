import { gridValue } from '../../numeric/setting-grid.ts';
import type { OperatingPoint, Setting } from '../delivery/operating-point.ts';

/** A setting that the station can hold, and what it delivers. */
export interface Pair extends Setting {
  readonly volume: number; // [m³]
  /** volume/aim − 1 [-]. */
  readonly error: number;
}

/** Dwells on the resolution of the station, as whole steps; or the one that is fixed. */
export type DwellChoice =
  | { readonly fixed: number }
  | { readonly first: number; readonly last: number; readonly step: number };

/** Errors and distances closer than this are equal, so that the next criterion decides and not binary rounding. */
export const EQUAL = 1e-9;

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

/** Without spreading a list that may be long into arguments. */
export function leastOf<P>(pairs: readonly P[], measure: (pair: P) => number): number {
  return pairs.reduce((least, pair) => Math.min(least, measure(pair)), Number.POSITIVE_INFINITY);
}

/** The best pair of each of up to `count` equal stretches of ln(pressure), in the order of pressure. */
export function representativePairs(
  pairs: readonly Pair[],
  count: number,
  best: (stretch: readonly Pair[]) => Pair | null,
): Pair[] {
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
