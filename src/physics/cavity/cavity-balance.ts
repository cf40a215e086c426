import { requireNonNegative } from '../../numeric/domain-error.ts';
import { stackVolume } from './cavity.ts';
import { freeVolume, type Gap, placeOfFreeVolume } from './gap.ts';

export interface BalanceInput {
  readonly gap: Gap;
  /** Rear of the fibre bore, the first section [m behind the end face]. */ readonly boreRear: number;
  /** Where the needle bottoms [m]. */ readonly seat: number;
  /** Share of the backfill lost on the needle and wiped off [-]. */ readonly allowance: number;
}

/** What the bore shot leaves behind the bore, and what the backfill must add. */
export interface Balance {
  /** What the bore shot leaves between the rear of the bore and the seat [m³]; negative for a seat inside the bore. */
  readonly left: number;
  /** Free volume [m³] from the rear of the bore to a reach [m]. */
  readonly wanted: (reach: number) => number;
  /** Backfill [m³], allowance included, that makes the epoxy stand to a reach [m]; at or below zero: none is needed. */
  readonly backfill: (reach: number) => number;
  /** Reach [m] of a backfill [m³], allowance included; null where it would overflow the cavity or not leave the bore. */
  readonly reachOf: (backfill: number) => number | null;
}

/**
 * The bookkeeping of a connector; volumes in [m³].
 *
 *   bore shot = gross(0, seat) + bead;  final bead = bead + cable(0, rear of bore)
 *   backfill(reach) = [free(rear of bore, reach) − gross(rear of bore, seat)]·(1 + allowance)
 *
 * All integrals are signed, so that a seat inside the bore needs no case of its own. Volume is conserved: bore shot +
 * backfill without its allowance = final bead + free(rear of bore, reach).
 *
 * Valid for: a cable that fits the cavity. Shape: one object in, volumes and three functions out.
 * Throws: DomainError when the allowance is below zero or a place is not finite.
 * Source: conservation of volume. Evidence: hand sums; conservation for random stacks; the inverse.
 */
export function cavityBalance(p: BalanceInput): Balance {
  requireNonNegative('allowance', p.allowance, '-');
  const { gap, boreRear, seat } = p;
  const left = stackVolume(gap.cavity, { from: boreRear, to: seat });
  const wanted = (reach: number): number => freeVolume(gap, { from: boreRear, to: reach });
  const factor = 1 + p.allowance;
  return {
    left,
    wanted,
    backfill: reach => (wanted(reach) - left) * factor,
    reachOf: backfill => placeOfFreeVolume(gap, { from: boreRear, volume: backfill / factor + left }),
  };
}
