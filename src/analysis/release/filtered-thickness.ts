import { normalQuantile } from '../../stats/distributions.ts';
import { type PartsKnown, type PartsReading, sumOfParts, updateParts } from '../../stats/part-filter.ts';
import type { SyringeCheck } from './measured-syringe.ts';
import type { Thickness } from './shots-left.ts';

/** What checks before lead to expect of a syringe: its ln(thickness) in parts. */
export interface EarlierChecks {
  readonly known: PartsKnown;
  /** Checks of the same lot or needle that it rests on. */
  readonly checks: number;
}

/** Thickness by this check and those before it. */
export interface FilteredThickness extends Thickness {
  readonly checks: number;
  /** Share of this check in it. */
  readonly gain: number;
  /** How far this check lies from what was expected, in standard deviations. */
  readonly surprise: number;
}

const TWO_SIDED = normalQuantile(0.975);
/** Step of the volume for the slope of ln(thickness) [-]. */
const STEP = 0.01;

/**
 * A check as a reading of ln(thickness): what the readings have for themselves as noise, so wide that the interval of the check
 * alone comes out the same, and never less than the station scatters; what all dots share (misreading, contact angle) as shared.
 * A balance rounds anew each time. Null where no thickness gives what was measured.
 */
export function thicknessReading(check: SyringeCheck, relative = halfWidthOf(check)): PartsReading | null {
  const { model, evidence, moment, setting, read, spread } = check;
  const at = (part: number) => model.thicknessOf(evidence.mean * part, moment, setting);
  const [value, less, more] = [at(1), at(1 - STEP), at(1 + STEP)];
  if (value === null || less === null || more === null) return null;
  const slope = Math.log(less / more) / (2 * STEP);
  const [balance, shared] = [0, 1].map(kind =>
    Math.hypot(...evidence.shared.filter(({ cause }) => (cause === 'balance') === (kind === 0)).map(c => c.relative)),
  ) as [number, number];
  const own = Math.sqrt(Math.max(0, (relative / TWO_SIDED) ** 2 - balance ** 2 - shared ** 2));
  const least = (spread.shot ?? 0) / Math.sqrt(read.shots * evidence.count);
  const noise = (slope * Math.hypot(Math.max(own, least), balance)) ** 2;
  return { value: Math.log(value), noise, shared: Math.abs(slope) * shared };
}

const halfWidthOf = ({ evidence }: SyringeCheck) => evidence.halfWidth / evidence.mean;

/** Ends of the 95 % interval of a thickness whose logarithm is known so well. */
export function thicknessOf({ value, variance }: { value: number; variance: number }): Thickness {
  const reach = TWO_SIDED * Math.sqrt(variance);
  return { estimate: Math.exp(value), low: Math.exp(value - reach), high: Math.exp(value + reach) };
}

/** A check beside those before it; null where there are none, or where no thickness gives what was measured. */
export function filteredThickness(check: SyringeCheck, relative: number): FilteredThickness | null {
  const { earlier } = check;
  if (earlier === null) return null;
  const reading = thicknessReading(check, relative);
  if (reading === null) return null;
  const { known, gain, surprise, surpriseVariance } = updateParts(earlier.known, reading);
  return {
    ...thicknessOf(sumOfParts(known)),
    ...{ checks: earlier.checks, gain, surprise: surpriseVariance > 0 ? surprise / Math.sqrt(surpriseVariance) : 0 },
  };
}

/**
 * What a syringe is judged by: the filtered estimate, with the interval of the check alone and the filtered one together. The
 * filtered one by itself leans towards the checks before, and would release most syringes at a limit that those do not let expect.
 */
export function judgedThickness(own: Thickness, filtered: Thickness | null): Thickness {
  if (filtered === null) return own;
  return {
    estimate: filtered.estimate,
    low: Math.min(own.low, filtered.low),
    high: Math.max(own.high, filtered.high),
  };
}
