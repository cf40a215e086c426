import { requirePositive } from '../../numeric/domain-error.ts';
import { atMost } from '../../numeric/limits.ts';
import { type DropLiquid, dropFromDiameter, dropFromVolume } from './drop.ts';

/**
 * Relative error of the volume [-] of a dot whose diameter is misread by so much: V(d + e)/V(d) − 1, from the drop model.
 *
 * Valid for: as {@link dropFromDiameter}; about 3·e/d for small dots, 2·e/d for puddles.
 * Shape: one object in, one scalar out. Throws: DomainError when an argument is out of its range.
 * Source: definition. Evidence: cap limit (1 + e/d)³ − 1, puddle limit.
 */
export function readingVolumeError(p: DropLiquid & { seenDiameter: number; readingError: number }): number {
  requirePositive('readingError', p.readingError, 'm');
  const at = dropFromDiameter(p).volume;
  return dropFromDiameter({ ...p, seenDiameter: p.seenDiameter + p.readingError }).volume / at - 1;
}

/** As {@link readingVolumeError}, for a dot of a known volume [m³]. */
export function readingErrorOfVolume(p: DropLiquid & { volume: number; readingError: number }): number {
  const { seenDiameter } = dropFromVolume(p);
  return readingVolumeError({ ...p, seenDiameter });
}

/** Where {@link shotsPerCircle} gives up: a dot of so many shots is larger than any sheet. A power of two. */
export const MOST_SHOTS = 2 ** 20;

/**
 * How many shots to put on one circle so that a misreading of it is at most half the tolerance of a shot [count].
 *
 * The relative error falls with the size of the dot, so the least number is found by doubling and halving.
 * Valid for: as {@link dropFromVolume}; at most {@link MOST_SHOTS}, which no paper holds, even where that is not enough.
 * Shape: one object in, one whole number of at least 1 out.
 * Throws: DomainError when an argument is not finite and positive.
 */
export function shotsPerCircle(p: {
  shotVolume: number;
  tolerance: number;
  /** Relative error of the volume of a misread dot [-], by its volume [m³]; falls with it. */
  errorOf: (volume: number) => number;
}): number {
  requirePositive('shotVolume', p.shotVolume, 'm³');
  requirePositive('tolerance', p.tolerance, '-');
  const enough = (shots: number): boolean => atMost(p.errorOf(shots * p.shotVolume), p.tolerance / 2);
  let high = 1;
  while (!enough(high)) {
    if (high === MOST_SHOTS) return high;
    high *= 2;
  }
  let low = high / 2; // the last one that was not enough, or one half
  while (high - low > 1) {
    const middle = (low + high) / 2;
    if (enough(middle)) high = middle;
    else low = middle;
  }
  return high;
}
