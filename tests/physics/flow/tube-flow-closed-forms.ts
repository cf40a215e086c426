import { requireNonNegative, requirePositive } from '../../../src/numeric/domain-error.ts';

export interface TubeGeometry {
  /** Pressure drop along the tube ΔP [Pa]. */ readonly pressureDrop: number;
  /** Inner radius R [m]. */ readonly radius: number;
  /** Length L [m]. */ readonly length: number;
}

/** Checks a tube and returns its wall shear stress τw = ΔP·R/(2L) [Pa]. */
function wallStressOf({ pressureDrop, radius, length }: TubeGeometry): number {
  requireNonNegative('pressureDrop', pressureDrop, 'Pa');
  requirePositive('radius', radius, 'm');
  requirePositive('length', length, 'm');
  return (pressureDrop * radius) / (2 * length);
}

/**
 * Volume flow [m³/s] of a Newtonian fluid through a round tube (Hagen–Poiseuille).
 *
 *   Q = π·ΔP·R⁴/(8·η·L)
 *
 * Valid for: steady, laminar, isothermal, fully developed flow; no wall slip, no end effects.
 * Shape: scalars in, one scalar out. The caller checks the Reynolds number.
 * Throws: DomainError when a size or the viscosity is not positive, or the pressure drop is negative.
 * Source: Chhabra & Richardson, Non-Newtonian Flow and Applied Rheology, 2nd ed., ch. 3 (from memory).
 * Evidence: published needle and cannula examples, the Rabinowitsch integral.
 */
export function newtonianTubeFlowRate(p: TubeGeometry & { /** η [Pa·s] */ readonly viscosity: number }): number {
  const wallShearStress = wallStressOf(p);
  requirePositive('viscosity', p.viscosity, 'Pa·s');
  return (Math.PI * p.radius ** 3 * wallShearStress) / (4 * p.viscosity);
}

/**
 * Volume flow [m³/s] of a power-law fluid through a round tube.
 *
 *   Q = π·R³·n/(3n + 1)·(τw/K)^(1/n)
 *
 * Valid for, shape, source: as {@link newtonianTubeFlowRate}.
 * Throws: DomainError as there, and when K or n is not positive.
 * Evidence: hand value, n = 1, published velocity profile, the Rabinowitsch integral.
 */
export function powerLawTubeFlowRate(
  p: TubeGeometry & { /** K [Pa·sⁿ] */ readonly consistency: number /** n [-] */; readonly flowIndex: number },
): number {
  const wallShearStress = wallStressOf(p);
  requirePositive('consistency', p.consistency, 'Pa·sⁿ');
  requirePositive('flowIndex', p.flowIndex, '-');
  const n = p.flowIndex;
  return Math.PI * p.radius ** 3 * (n / (3 * n + 1)) * (wallShearStress / p.consistency) ** (1 / n);
}

interface Plastic extends TubeGeometry {
  /** Yield stress τ₀ [Pa]. */ readonly yieldStress: number;
  /** Plastic viscosity η [Pa·s]. */ readonly viscosity: number;
}

/**
 * Volume flow [m³/s] of a Bingham fluid through a round tube (Buckingham–Reiner); zero at or below the yield stress.
 *
 *   Q = π·R³·τw/(4·η)·[1 − 4φ/3 + φ⁴/3],  φ = τ₀/τw;  the bracket as (1 − φ)²(3 + 2φ + φ²)/3, which does not cancel
 *
 * Valid for, shape, source: as {@link newtonianTubeFlowRate}.
 * Throws: DomainError as there, and when the yield stress is negative.
 * Evidence: published statements with computed answers, the Rabinowitsch integral.
 */
export function binghamTubeFlowRate(p: Plastic): number {
  const wallShearStress = wallStressOf(p);
  requireNonNegative('yieldStress', p.yieldStress, 'Pa');
  requirePositive('viscosity', p.viscosity, 'Pa·s');
  if (wallShearStress <= p.yieldStress) return 0;
  const plug = p.yieldStress / wallShearStress; // φ, the plug's radius over the tube's
  const sheared = (wallShearStress - p.yieldStress) / wallShearStress;
  const bracket = (sheared ** 2 * (3 + 2 * plug + plug ** 2)) / 3;
  return ((Math.PI * p.radius ** 3 * wallShearStress) / (4 * p.viscosity)) * bracket;
}

/**
 * Volume flow [m³/s] of a Herschel–Bulkley fluid through a round tube; zero at or below the yield stress.
 *
 *   Q = π·R³·n·(τw/K)^(1/n)·(1−φ)^((n+1)/n)·[(1−φ)²/(3n+1) + 2φ(1−φ)/(2n+1) + φ²/(n+1)],  φ = τ₀/τw
 *
 * Valid for, shape, source: as {@link newtonianTubeFlowRate}.
 * Throws: DomainError as there, and when K or n is not positive or the yield stress is negative.
 * Evidence: an independent quadrature, n = 1 (Bingham), τ₀ = 0 (power law).
 */
export function herschelBulkleyTubeFlowRate(
  p: TubeGeometry & {
    /** τ₀ [Pa] */ readonly yieldStress: number;
    /** K [Pa·sⁿ] */ readonly consistency: number;
    /** n [-] */ readonly flowIndex: number;
  },
): number {
  const wallShearStress = wallStressOf(p);
  requireNonNegative('yieldStress', p.yieldStress, 'Pa');
  requirePositive('consistency', p.consistency, 'Pa·sⁿ');
  requirePositive('flowIndex', p.flowIndex, '-');
  if (wallShearStress <= p.yieldStress) return 0;
  const n = p.flowIndex;
  const plug = p.yieldStress / wallShearStress;
  const sheared = (wallShearStress - p.yieldStress) / wallShearStress;
  const bracket = sheared ** 2 / (3 * n + 1) + (2 * plug * sheared) / (2 * n + 1) + plug ** 2 / (n + 1);
  return (
    Math.PI * p.radius ** 3 * n * (wallShearStress / p.consistency) ** (1 / n) * sheared ** ((n + 1) / n) * bracket
  );
}

/**
 * Volume flow [m³/s] of a Casson fluid through a round tube; zero at or below the yield stress.
 *
 *   Q = π·R³·τw/(4·η)·[1 − 16σ/7 + 4σ²/3 − σ⁸/21],  σ = √(τ₀/τw);
 *   the bracket as (1 − σ)³(21 + 15σ + 10σ² + 6σ³ + 3σ⁴ + σ⁵)/21, which does not cancel
 *
 * Valid for, shape, source: as {@link newtonianTubeFlowRate}.
 * Throws: DomainError as there, and when the yield stress is negative.
 * Evidence: the unfactored bracket, the Rabinowitsch integral, τ₀ = 0.
 */
export function cassonTubeFlowRate(p: Plastic): number {
  const wallShearStress = wallStressOf(p);
  requireNonNegative('yieldStress', p.yieldStress, 'Pa');
  requirePositive('viscosity', p.viscosity, 'Pa·s');
  if (wallShearStress <= p.yieldStress) return 0;
  const root = Math.sqrt(p.yieldStress / wallShearStress); // σ
  const sheared = (wallShearStress - p.yieldStress) / wallShearStress / (1 + root); // 1 − σ
  const series = 21 + 15 * root + 10 * root ** 2 + 6 * root ** 3 + 3 * root ** 4 + root ** 5;
  return ((Math.PI * p.radius ** 3 * wallShearStress) / (4 * p.viscosity)) * ((sheared ** 3 * series) / 21);
}
