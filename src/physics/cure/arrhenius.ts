import { requireFinite, requirePositive } from '../../numeric/domain-error.ts';

/** Molar gas constant R [J/(mol·K)], exact in the SI since 2019 (product of two fixed constants). */
export const GAS_CONSTANT = 8.31446261815324;

export interface ArrheniusInput {
  /** E [J/mol]. */ readonly activationEnergy: number;
  /** T [K]. */ readonly temperature: number;
  /** T_ref [K]. */ readonly referenceTemperature: number;
}

/**
 * Factor [-] on a viscosity between two temperatures: below 1 when warmer than the reference.
 *
 *   ln(η/η_ref) = (E/R)·(1/T − 1/T_ref)
 *
 * Valid for: a resin far above its glass transition and a span of some tens of kelvin, over which E is constant. For a
 * rate, which rises with temperature, take the inverse.
 * Shape: scalars in, one scalar out.
 * Throws: DomainError when a temperature is not positive or the energy is not finite.
 * Source: Arrhenius' law; R from CODATA 2018 (from memory).
 * Evidence: hand value, equal temperatures, product of two steps.
 */
export function arrheniusFactor({ activationEnergy, temperature, referenceTemperature }: ArrheniusInput): number {
  requireFinite('activationEnergy', activationEnergy, 'J/mol');
  requirePositive('temperature', temperature, 'K');
  requirePositive('referenceTemperature', referenceTemperature, 'K');
  // (T_ref − T)/(T·T_ref) instead of the difference of two inverses, which would lose digits for near temperatures
  const inverseDifference = (referenceTemperature - temperature) / (temperature * referenceTemperature);
  return Math.exp((activationEnergy / GAS_CONSTANT) * inverseDifference);
}
