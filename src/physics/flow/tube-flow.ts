import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import type { Rheology } from '../rheology/rheology.ts';
import { wallCurve } from './wall-curve.ts';

export interface TubeFlowInput {
  readonly rheology: Rheology;
  /** Inner radius R [m]. */ readonly radius: number;
  /** Wall shear stress τw = ΔP·R/(2L) [Pa]. */ readonly wallShearStress: number;
}

/**
 * Volume flow [m³/s] of any resin through a round tube.
 *
 *   Q = πR³/τw³ ∫₀^τw τ² γ̇(τ) dτ, in closed form where the model has one (see wall-curve), piece by piece
 *   for a table, by parts and panels for Cross and Carreau–Yasuda; zero at or below the yield stress
 *
 * Valid for: steady, laminar, isothermal, fully developed flow; no wall slip, no end effects.
 * Shape: one rheology and scalars in, one scalar out.
 * Throws: DomainError when the radius is not positive, the stress is negative, or the model's numbers are out of range.
 * Source: Chhabra & Richardson, Non-Newtonian Flow and Applied Rheology, 2nd ed., ch. 3 (from memory).
 * Evidence: closed forms and integral agree to 1e-8 for every model; published examples.
 */
export function tubeFlowRate({ rheology, radius, wallShearStress }: TubeFlowInput): number {
  requirePositive('radius', radius, 'm');
  requireNonNegative('wallShearStress', wallShearStress, 'Pa');
  return Math.PI * radius ** 3 * wallCurve(rheology).atStress(wallShearStress).reducedFlow;
}
