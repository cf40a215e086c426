import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';

/** A stretch of slit: its length along the axis, and the gap between its walls [m]. */
export interface Slit {
  readonly length: number;
  readonly gap: number;
}

/** What ends the wicking: the resin sets, the gap is too wide to pull, or the slits are full. */
export type WickingEnd = 'time' | 'pull' | 'slits';

/**
 * How far [m] resin is drawn along narrow slits, one behind the other, from a reservoir in a wider gap.
 *
 *   one slit: x² = (γ·h·cos θ/3)·(1 − h/hₛ)·∫dt/η
 *   further ones: y²/(2·hₖ³) + y·Σlᵢ/hᵢ³ = (γ·cos θ/(6·hₖ))·(1/hₖ − 1/hₛ)·∫dt/η, y the length wetted of slit k
 *
 * hₛ is the widest gap that still holds resin and pulls the other way; none is drawn into a gap that is not narrower, or where
 * the resin does not wet. The integral over time of 1/η is `fluidity` [1/Pa].
 * Valid for: slits between walls far wider than the gap, no gravity, an unlimited reservoir.
 * Throws: DomainError for gaps, lengths or a tension that are not positive, or a fluidity below zero.
 * Source: Washburn, Phys. Rev. 17 (1921) 273-283, in the form for a slit: x² = γ·h·cos θ·t/(3·η); slits in series derived here.
 * Evidence: Washburn's square root of time with constant viscosity; a slit cut in two; a plain integration.
 */
export function wickedAlong(p: {
  slits: readonly Slit[];
  /** Infinite for a reservoir that does not pull. */
  reservoirGap: number;
  surfaceTension: number;
  contactAngle: number;
  fluidity: number;
}): { readonly length: number; readonly end: WickingEnd } {
  if (p.reservoirGap !== Number.POSITIVE_INFINITY) requirePositive('reservoirGap', p.reservoirGap, 'm');
  requirePositive('surfaceTension', p.surfaceTension, 'N/m');
  requireNonNegative('fluidity', p.fluidity, '1/Pa');
  let passed = 0;
  let resistance = 0; // Σl/h³ [1/m²]
  let left = p.fluidity;
  for (const { gap, length } of p.slits) {
    requirePositive('gap', gap, 'm');
    requirePositive('length', length, 'm');
    const pull = Math.cos(p.contactAngle) * (1 / gap - 1 / p.reservoirGap);
    if (pull <= 0) return { length: passed, end: 'pull' };
    const strength = (p.surfaceTension * pull) / (6 * gap);
    const needed = (length * (resistance + length / (2 * gap ** 3))) / strength;
    if (needed > left) {
      const driven = 2 * strength * left;
      const wetted = driven === 0 ? 0 : driven / (resistance + Math.sqrt(resistance ** 2 + driven / gap ** 3));
      return { length: passed + wetted, end: 'time' };
    }
    left -= needed;
    passed += length;
    resistance += length / gap ** 3;
  }
  return { length: passed, end: 'slits' };
}
