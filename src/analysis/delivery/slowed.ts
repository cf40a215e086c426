import { requirePositive } from '../../numeric/domain-error.ts';
import type { Rheology } from '../../physics/rheology/rheology.ts';

/**
 * The fluid whose shear rate at every stress is the given one divided by a factor; so its flow through any needle at any
 * pressure is exactly the given flow divided by that factor.
 *
 *   γ̇'(τ) = γ̇(τ)/f: η → f·η for constant viscosities, K → f^n·K, yield stress unchanged, η(γ̇) → f·η(f·γ̇) for the rest
 *
 * This is what a calibration says with `V = Q·t/viscosity_factor`; for a Newtonian resin it is the viscosity times f.
 * Throws: DomainError when the factor is not finite and positive.
 */
export function slowed(rheology: Rheology, factor: number): Rheology {
  requirePositive('factor', factor, '-');
  switch (rheology.model) {
    case 'newtonian':
    case 'bingham':
    case 'casson':
      return { ...rheology, viscosity: rheology.viscosity * factor };
    case 'power-law':
    case 'herschel-bulkley':
      return { ...rheology, consistency: rheology.consistency * factor ** rheology.flowIndex };
    case 'cross':
    case 'carreau-yasuda':
      return {
        ...rheology,
        zero: rheology.zero * factor,
        infinity: rheology.infinity * factor,
        time: rheology.time * factor,
      };
    case 'table':
      return { ...rheology, points: rheology.points.map(([rate, viscosity]) => [rate / factor, viscosity * factor]) };
  }
}
