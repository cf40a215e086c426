import { DomainError, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';

/**
 * How much thicker a thixotropic resin is after a rest than while it is worked [-].
 *
 *   1 + (f − 1)·(1 − e^(−t/τ)), f after a long rest, τ the time in which it gets 63 % of the way
 *
 * A rough model: one structure, rebuilt at one rate, broken down at once by the next shot.
 * Throws: DomainError for a factor below 1, a time that is not positive or a pause below zero.
 * Source: Barnes, J. Non-Newtonian Fluid Mech. 70 (1997) 1-33, a review of structure models of first order (from memory).
 * Evidence: its limits; the differential equation dλ/dt = (1 − λ)/τ summed step by step.
 */
export function rebuildFactor(p: { factor: number; time: number; pause: number }): number {
  requirePositive('time', p.time, 's');
  requireNonNegative('pause', p.pause, 's');
  if (!(Number.isFinite(p.factor) && p.factor >= 1)) throw new DomainError('factor', p.factor, '-', 'at least 1');
  return 1 - (p.factor - 1) * Math.expm1(-p.pause / p.time);
}
