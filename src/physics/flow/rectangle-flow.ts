import { requirePositive } from '../../numeric/domain-error.ts';

/** ζ(5)·31/32, the sum of 1/i⁵ over odd i. */
const ODD_FIFTHS = (1.03692775514337 * 31) / 32;
/** From the next term on tanh is 1 to the last digit, even for a square. */
const LAST = 11;

/**
 * Resistance of a rectangular passage over viscosity, ΔP/(η·Q) [1/m³].
 *
 *   ΔP/(η·Q) = 12·L/(a·b³·F), F = 1 − (192/π⁵)·(b/a)·Σ tanh(i·π·a/(2b))/i⁵ over i = 1, 3, 5, …; b the smaller side
 *
 * Summed as Σ 1/i⁵ less Σ (1 − tanh)/i⁵, of which six terms give every digit, down to the square.
 * Valid for: steady, laminar, fully developed Newtonian flow without slip. Shape: scalars in, one scalar out.
 * Throws: DomainError for a side or length that is not positive.
 * Source: White, Viscous Fluid Flow, 3rd ed., eq. 3-48 (the exact series; from memory).
 * Evidence: f·Re of Shah & London; plane slit 12·L/(a·b³); a finite-difference solution.
 */
export function rectangleResistance(p: { width: number; height: number; length: number }): number {
  requirePositive('width', p.width, 'm');
  requirePositive('height', p.height, 'm');
  requirePositive('length', p.length, 'm');
  const wide = Math.max(p.width, p.height);
  const narrow = Math.min(p.width, p.height);
  let sum = ODD_FIFTHS;
  for (let i = 1; i <= LAST; i += 2) sum -= 2 / (Math.exp((i * Math.PI * wide) / narrow) + 1) / i ** 5;
  const share = 1 - (192 / Math.PI ** 5) * (narrow / wide) * sum;
  return (12 * p.length) / (wide * narrow ** 3 * share);
}
