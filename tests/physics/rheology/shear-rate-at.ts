import { requireNonNegative } from '../../../src/numeric/domain-error.ts';
import { type Rheology, yieldStressOf } from '../../../src/physics/rheology/rheology.ts';
import { requireRheology } from '../../../src/physics/rheology/rheology-problems.ts';
import { shearTable } from '../../../src/physics/rheology/shear-table.ts';
import { logRateAt } from '../../../src/physics/rheology/smooth-viscosity.ts';

/**
 * Shear rate [1/s] at a shear stress; 0 at or below the yield stress.
 *
 *   the inverse of `shearStressAt`, explicit except for Cross and Carreau–Yasuda (Newton's method in logarithms)
 *
 * Valid for: stress that rises with rate, which every accepted model's does.
 * Shape: scalars in, one scalar out.
 * Throws: DomainError when the stress is negative or not finite, or the model's numbers are out of range.
 * Evidence: round trips through shearStressAt.
 */
export function shearRateAt(r: Rheology, shearStress: number): number {
  requireRheology(r);
  requireNonNegative('shearStress', shearStress, 'Pa');
  if (shearStress <= yieldStressOf(r)) return 0;
  switch (r.model) {
    case 'newtonian':
      return shearStress / r.viscosity;
    case 'power-law':
      return (shearStress / r.consistency) ** (1 / r.flowIndex);
    case 'herschel-bulkley':
      return ((shearStress - r.yieldStress) / r.consistency) ** (1 / r.flowIndex);
    case 'bingham':
      return (shearStress - r.yieldStress) / r.viscosity;
    case 'casson': {
      // √τ − √τ₀ without the cancellation just above the yield stress
      const rootDifference = (shearStress - r.yieldStress) / (Math.sqrt(shearStress) + Math.sqrt(r.yieldStress));
      return rootDifference ** 2 / r.viscosity;
    }
    case 'cross':
    case 'carreau-yasuda':
      return Math.exp(logRateAt(r, shearStress));
    case 'table':
      return shearTable(r.points).rateAt(shearStress);
  }
}
