import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { requireRheology } from './rheology-problems.ts';
import { type ShearTable, shearTable } from './shear-table.ts';
import { smoothViscosity } from './smooth-viscosity.ts';

/** How a resin's shear stress τ depends on its shear rate γ̇. Numbers in SI. */
export type Rheology =
  | Newtonian
  | PowerLaw
  | HerschelBulkley
  | PlasticRheology
  | CrossRheology
  | CarreauYasuda
  | TableRheology;

/** τ = η·γ̇ */
export interface Newtonian {
  readonly model: 'newtonian';
  /** η [Pa·s] */ readonly viscosity: number;
}

/** τ = K·γ̇ⁿ */
export interface PowerLaw {
  readonly model: 'power-law';
  /** K [Pa·sⁿ] */ readonly consistency: number;
  /** n [-] */ readonly flowIndex: number;
}

/** τ = τ₀ + K·γ̇ⁿ */
export interface HerschelBulkley {
  readonly model: 'herschel-bulkley';
  /** τ₀ [Pa], zero or above */ readonly yieldStress: number;
  /** K [Pa·sⁿ] */ readonly consistency: number;
  /** n [-] */ readonly flowIndex: number;
}

/** Bingham: τ = τ₀ + η·γ̇; Casson: √τ = √τ₀ + √(η·γ̇) */
export interface PlasticRheology {
  readonly model: 'bingham' | 'casson';
  /** τ₀ [Pa], zero or above */ readonly yieldStress: number;
  /** η [Pa·s], the plastic viscosity */ readonly viscosity: number;
}

/** η = η∞ + (η₀ − η∞)/(1 + (t·γ̇)^m) */
export interface CrossRheology {
  readonly model: 'cross';
  /** η₀ [Pa·s] */ readonly zero: number;
  /** η∞ [Pa·s], zero or above */ readonly infinity: number;
  /** t [s] */ readonly time: number;
  /** m [-] */ readonly m: number;
}

/** η = η∞ + (η₀ − η∞)·(1 + (t·γ̇)^a)^((n−1)/a); a = 2 is Carreau's */
export interface CarreauYasuda {
  readonly model: 'carreau-yasuda';
  /** η₀ [Pa·s] */ readonly zero: number;
  /** η∞ [Pa·s], zero or above */ readonly infinity: number;
  /** t [s] */ readonly time: number;
  /** a [-] */ readonly a: number;
  /** n [-] */ readonly n: number;
}

/** A measured flow curve, straight between its points in log–log, the end pieces extended. */
export interface TableRheology {
  readonly model: 'table';
  /** [shear rate 1/s, viscosity Pa·s], two or more. */
  readonly points: readonly (readonly [number, number])[];
}

/** Yield stress [Pa]: the shear stress below which the resin does not flow; 0 for a model without one. */
export function yieldStressOf(r: Rheology): number {
  return r.model === 'herschel-bulkley' || r.model === 'bingham' || r.model === 'casson' ? r.yieldStress : 0;
}

/**
 * Shear stress [Pa] at a shear rate.
 *
 *   see the formula beside each model above; at rate 0 the yield stress
 *
 * Valid for: steady simple shear at one temperature and age.
 * Shape: scalars in, one scalar out.
 * Throws: DomainError when the rate is negative or not finite, or the model's numbers are out of range.
 * Source: Chhabra & Richardson, Non-Newtonian Flow and Applied Rheology, 2nd ed., ch. 1 (from memory).
 * Evidence: hand values; Cho & Kensey's Carreau parameters for blood.
 */
export function shearStressAt(r: Rheology, shearRate: number): number {
  requireRheology(r);
  requireNonNegative('shearRate', shearRate, '1/s');
  switch (r.model) {
    case 'newtonian':
      return r.viscosity * shearRate;
    case 'power-law':
      return r.consistency * shearRate ** r.flowIndex;
    case 'herschel-bulkley':
      return r.yieldStress + r.consistency * shearRate ** r.flowIndex;
    case 'bingham':
      return r.yieldStress + r.viscosity * shearRate;
    case 'casson':
      return r.yieldStress + r.viscosity * shearRate + 2 * Math.sqrt(r.yieldStress * r.viscosity * shearRate);
    case 'cross':
    case 'carreau-yasuda':
      return shearRate === 0 ? 0 : shearRate * smoothViscosity(r, shearRate).viscosity;
    case 'table':
      return shearTable(r.points).stressAt(shearRate);
  }
}

/**
 * Apparent viscosity τ/γ̇ [Pa·s] at a shear rate; Infinity where the model has no finite one (a yield stress, or a
 * shear-thinning power law, at rate 0).
 *
 * Valid for, throws, source: as {@link shearStressAt}.
 */
export function viscosityAt(r: Rheology, shearRate: number): number {
  if (shearRate > 0) return shearStressAt(r, shearRate) / shearRate;
  requireRheology(r);
  requireNonNegative('shearRate', shearRate, '1/s');
  switch (r.model) {
    case 'newtonian':
      return r.viscosity;
    case 'power-law':
      return indexLimit(r.consistency, r.flowIndex);
    case 'herschel-bulkley':
      return r.yieldStress > 0 ? Number.POSITIVE_INFINITY : indexLimit(r.consistency, r.flowIndex);
    case 'bingham':
    case 'casson':
      return r.yieldStress > 0 ? Number.POSITIVE_INFINITY : r.viscosity;
    case 'cross':
    case 'carreau-yasuda':
      return r.zero;
    case 'table':
      return shearTable(r.points).zeroShearViscosity;
  }
}

/** Limit of K·γ̇^(n−1) at rate 0. */
function indexLimit(consistency: number, n: number): number {
  return n === 1 ? consistency : n < 1 ? Number.POSITIVE_INFINITY : 0;
}

/**
 * The same resin with every viscosity multiplied by a factor, as temperature, age and lot do.
 *
 *   viscosity, K and yield stress × f; the time of Cross and Carreau–Yasuda × f; a table moves η → f·η, γ̇ → γ̇/f
 *
 * Valid for: factors from temperature, age or lot; one factor for all shear rates.
 * Throws: DomainError when the factor is not positive, or the model's numbers are out of range.
 * Source: Williams-type superposition of flow curves with the stress scale left alone (common practice, no source).
 * Evidence: Newtonian, Cross, Carreau–Yasuda and table: flow at one stress falls by exactly the factor.
 */
export function thickened(r: Rheology, factor: number): Rheology {
  requireRheology(r);
  requirePositive('factor', factor, '-');
  switch (r.model) {
    case 'newtonian':
      return { ...r, viscosity: r.viscosity * factor };
    case 'power-law':
      return { ...r, consistency: r.consistency * factor };
    case 'herschel-bulkley':
      return { ...r, yieldStress: r.yieldStress * factor, consistency: r.consistency * factor };
    case 'bingham':
    case 'casson':
      return { ...r, yieldStress: r.yieldStress * factor, viscosity: r.viscosity * factor };
    case 'cross':
    case 'carreau-yasuda':
      return { ...r, zero: r.zero * factor, infinity: r.infinity * factor, time: r.time * factor };
    case 'table':
      return { ...r, points: r.points.map(([rate, viscosity]) => [rate / factor, viscosity * factor] as const) };
  }
}

/**
 * The model in its plainest form: zero yield stress drops out, a flow index of exactly 1 is Newtonian (or Bingham), equal
 * zero and infinity viscosities are Newtonian. So the limits agree to the last bit, and the fast paths are taken.
 */
export function simplified(r: Rheology): Rheology {
  switch (r.model) {
    case 'power-law':
      return r.flowIndex === 1 ? { model: 'newtonian', viscosity: r.consistency } : r;
    case 'herschel-bulkley': {
      const { consistency, flowIndex, yieldStress } = r;
      if (yieldStress === 0) return simplified({ model: 'power-law', consistency, flowIndex });
      return flowIndex === 1 ? { model: 'bingham', yieldStress, viscosity: consistency } : r;
    }
    case 'bingham':
    case 'casson':
      return r.yieldStress === 0 ? { model: 'newtonian', viscosity: r.viscosity } : r;
    case 'cross':
      return r.zero === r.infinity ? { model: 'newtonian', viscosity: r.zero } : r;
    case 'carreau-yasuda':
      return r.zero === r.infinity || r.n === 1 ? { model: 'newtonian', viscosity: r.zero } : r;
    default:
      return r;
  }
}

/** Range of shear rates [1/s] that the model was measured over: that of a table's points; null for a formula. */
export function measuredRange(r: Rheology): readonly [number, number] | null {
  if (r.model !== 'table') return null;
  const table: ShearTable = shearTable(r.points);
  return [table.rates[0]!, table.rates[table.rates.length - 1]!];
}
