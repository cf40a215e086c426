import { requireNonNegative, requirePositive } from '../../../src/numeric/domain-error.ts';
import type { ConeGeometry } from '../../../src/physics/flow/cone-flow.ts';

/**
 * Pressure drop [Pa] of a power-law flow through a slender cone.
 *
 *   ΔP = 2KL·[(3n + 1)Q/(nπ)]ⁿ·(R₂^(−3n) − R₁^(−3n))/(3n(R₁ − R₂)), R₂ the narrow end;
 *   for R₁ → R₂ the last factor tends to R^(−3n−1): written with expm1 and log1p it does so without cancelling
 *
 * Valid for, shape, source: as `newtonianConePressureDrop`.
 * Throws: DomainError as there, and when K or n is not positive.
 * Evidence: n = 1, equal diameters, the numeric gradient.
 */
export function powerLawConePressureDrop(
  p: ConeGeometry & {
    /** K [Pa·sⁿ] */ readonly consistency: number;
    /** n [-] */ readonly flowIndex: number;
    /** Q [m³/s] */ readonly flow: number;
  },
): number {
  requirePositive('consistency', p.consistency, 'Pa·sⁿ');
  requirePositive('flowIndex', p.flowIndex, '-');
  requireNonNegative('flow', p.flow, 'm³/s');
  const n = p.flowIndex;
  const wide = Math.max(p.front, p.rear) / 2;
  const narrow = Math.min(p.front, p.rear) / 2;
  const opening = (wide - narrow) / narrow;
  const mean = opening === 0 ? 1 : -Math.expm1(-3 * n * Math.log1p(opening)) / (3 * n * opening);
  const narrowWallStress = p.consistency * (((3 * n + 1) / n) * (p.flow / (Math.PI * narrow ** 3))) ** n;
  return ((2 * p.length) / narrow) * narrowWallStress * mean;
}
