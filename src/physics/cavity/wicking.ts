import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';

/**
 * How far [m] resin is drawn along a narrow gap from a reservoir in a wider one.
 *
 *   x² = (γ·h·cos θ/3)·(1 − h/hₛ)·∫dt/η
 *
 * h is the radial gap that fills, hₛ the widest gap that still holds resin and pulls the other way; none is drawn where
 * h ≥ hₛ or the resin does not wet. The integral over time of 1/η is `fluidity` [1/Pa].
 * Valid for: slits between walls far wider than the gap, no gravity, an unlimited reservoir.
 * Throws: DomainError for gaps or a tension that are not positive, or a fluidity below zero.
 * Source: Washburn, Phys. Rev. 17 (1921) 273-283, in the form for a slit: x² = γ·h·cos θ·t/(3·η).
 * Evidence: Washburn's square root of time with constant viscosity.
 */
export function wickedLength(p: {
  gap: number;
  /** Infinite for a reservoir that does not pull. */
  reservoirGap: number;
  surfaceTension: number;
  contactAngle: number;
  fluidity: number;
}): number {
  requirePositive('gap', p.gap, 'm');
  if (p.reservoirGap !== Number.POSITIVE_INFINITY) requirePositive('reservoirGap', p.reservoirGap, 'm');
  requirePositive('surfaceTension', p.surfaceTension, 'N/m');
  requireNonNegative('fluidity', p.fluidity, '1/Pa');
  const pull = Math.cos(p.contactAngle) * (1 - p.gap / p.reservoirGap);
  return pull <= 0 ? 0 : Math.sqrt((p.surfaceTension * p.gap * pull * p.fluidity) / 3);
}
