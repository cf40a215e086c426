import { requireNonNegative, requirePositive } from '../../../src/numeric/domain-error.ts';
import { integrate } from '../../../src/numeric/quadrature.ts';
import type { TubeFlowInput } from '../../../src/physics/flow/tube-flow.ts';
import { shearStressAt, yieldStressOf } from '../../../src/physics/rheology/rheology.ts';
import { shearRateAt } from '../rheology/shear-rate-at.ts';

/**
 * Volume flow [m³/s] of any resin through a round tube, by integrating over stress.
 *
 *   Q = πR³/τw³ ∫ τ² γ̇(τ) dτ from the yield stress to τw
 *
 * Valid for: as tubeFlowRate. Slow: this is the general form that the closed forms and the fast wall curves are held to.
 * Shape: one rheology and scalars in, one scalar out.
 * Throws: DomainError as tubeFlowRate; ConvergenceError.
 * Source: Weissenberg–Rabinowitsch; Chhabra & Richardson, 2nd ed., ch. 2 and 3 (from memory).
 * Evidence: closed forms of five models.
 */
export function flowByStress({ rheology, radius, wallShearStress }: TubeFlowInput): number {
  requirePositive('radius', radius, 'm');
  requireNonNegative('wallShearStress', wallShearStress, 'Pa');
  const yieldStress = yieldStressOf(rheology);
  if (wallShearStress <= yieldStress) return 0;
  const moment = integrate(stress => stress ** 2 * shearRateAt(rheology, stress), yieldStress, wallShearStress);
  return (Math.PI * radius ** 3 * moment) / wallShearStress ** 3;
}

/**
 * The same flow [m³/s], by integrating over shear rate, for models that are explicit in it.
 *
 *   Q = (πR³/3)·[γ̇w − τw⁻³ ∫₀^γ̇w τ(γ̇)³ dγ̇]
 *
 * Valid for, shape, throws, source: as {@link flowByStress}.
 * Evidence: flowByStress, for every model.
 */
export function flowByRate({ rheology, radius, wallShearStress }: TubeFlowInput): number {
  requirePositive('radius', radius, 'm');
  requireNonNegative('wallShearStress', wallShearStress, 'Pa');
  if (wallShearStress <= yieldStressOf(rheology)) return 0;
  const wallShearRate = shearRateAt(rheology, wallShearStress);
  const cubes = integrate(rate => shearStressAt(rheology, rate) ** 3, 0, wallShearRate);
  return ((Math.PI * radius ** 3) / 3) * (wallShearRate - cubes / wallShearStress ** 3);
}
