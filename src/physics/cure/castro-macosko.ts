import { requireNonNegative } from '../../numeric/domain-error.ts';
import { type OdeStep, solveOde } from '../../numeric/ode.ts';
import { GAS_CONSTANT } from './arrhenius.ts';
import type { CastroMacosko } from './cure-model.ts';
import {
  profileKnots,
  requireTemperatureProfile,
  type TemperatureProfile,
  temperatureAt,
} from './temperature-profile.ts';

export const CONVERSION_DEFAULTS = {
  /** Local error of the integration. */ relative: 1e-11,
  /** How far a gel point is looked for [s]: about 30 years. */ horizon: 1e9,
} as const;

/** Rate of conversion [1/s] by Kamal–Sourour: (k₁ + k₂·αᵐ)(1 − α)ⁿ, kᵢ = Aᵢ·exp(−Eᵢ/(R·T)). */
export function conversionRate(cure: CastroMacosko, conversion: number, temperature: number): number {
  const alpha = Math.min(Math.max(conversion, 0), 1);
  const k1 = cure.A1 * Math.exp(-cure.E1 / (GAS_CONSTANT * temperature));
  const k2 = cure.A2 * Math.exp(-cure.E2 / (GAS_CONSTANT * temperature));
  return (k1 + k2 * alpha ** cure.m) * (1 - alpha) ** cure.n;
}

/** Viscosity factor by Castro–Macosko: (α_g/(α_g − α))^(c₁ + c₂·α); infinite at the gel point. */
export function castroMacoskoFactor(cure: CastroMacosko, conversion: number): number {
  const g = cure.gelConversion;
  return conversion >= g ? Number.POSITIVE_INFINITY : (g / (g - conversion)) ** (cure.c1 + cure.c2 * conversion);
}

export interface ConversionCurve {
  /** Conversion [-] at an age [s]; the gel conversion from the gel point on. */
  at(age: number): number;
  /** Age [s] at which the gel conversion is reached, or null where it is not within the horizon. */
  readonly gelAge: number | null;
  /** Ages [s] between which the curve is one smooth piece. */
  readonly knots: readonly number[];
}

/**
 * Conversion along a temperature profile from one integration.
 *
 *   dα/dt = (k₁ + k₂·αᵐ)(1 − α)ⁿ, α(0) = 0, until α = α_g
 *
 * Integrated piece by piece between the corners of the profile. With A₁ = 0 and m > 0 nothing starts the reaction and α
 * stays zero. Where the reaction comes to rest below α_g there is no gel point.
 * Throws: DomainError for parameters or a profile that make no sense.
 * Source: Kamal & Sourour, Polym. Eng. Sci. 13 (1973) 59-64.
 * Evidence: closed forms for first order, nth order and autocatalysis; quadrature of dα/rate; Lee–Loos epoxy.
 */
export function conversionCurve(p: {
  cure: CastroMacosko;
  temperature: TemperatureProfile;
  /** How far the curve is wanted [s]; it goes to the gel point or `horizon` in any case. */
  horizon?: number;
}): ConversionCurve {
  const { cure, temperature } = p;
  requireTemperatureProfile(temperature);
  const horizon = p.horizon ?? CONVERSION_DEFAULTS.horizon;
  const steps: OdeStep[] = [];
  let gelAge: number | null = null;
  let resting: { from: number; conversion: number } | null = null;
  let from = 0;
  let alpha = 0;
  const corners = [...profileKnots(temperature).filter(age => age < horizon), horizon];
  for (const [index, to] of corners.entries()) {
    const steady = index === corners.length - 1;
    const atRest = (t: number, y: ArrayLike<number>) => {
      const left = cure.gelConversion - y[0]!;
      return conversionRate(cure, y[0]!, temperatureAt(temperature, t)) * horizon - 1e-9 * Math.max(left, 1e-9);
    };
    if (steady && atRest(from, [alpha]) <= 0) {
      resting = { from, conversion: alpha };
      break;
    }
    const end = solveOde({
      derivative: (t, y, dy) => {
        dy[0] = conversionRate(cure, y[0]!, temperatureAt(temperature, t));
      },
      ...{ from, to, initial: [alpha], relative: CONVERSION_DEFAULTS.relative, absolute: 1e-16 },
      event: [
        { value: (_t, y) => y[0]! - cure.gelConversion, direction: 1 },
        ...(steady ? [{ value: atRest, direction: -1 as const }] : []),
      ],
      onStep: step => steps.push(step),
    });
    from = end.t;
    alpha = end.y[0]!;
    if (end.event === 0) gelAge = end.t;
    if (end.event === 1) resting = { from, conversion: alpha };
    if (end.event !== null) break;
  }
  const knots = [0, ...steps.map(step => step.to)];
  const at = (age: number): number => {
    requireNonNegative('age', age, 's');
    if (gelAge !== null && age >= gelAge) return cure.gelConversion;
    if (resting !== null && age >= resting.from) return resting.conversion;
    if (age >= from) return alpha;
    let low = 0;
    let high = steps.length - 1;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (steps[middle]!.to < age) low = middle + 1;
      else high = middle;
    }
    return Math.min(steps[low]!.at(age)[0]!, cure.gelConversion);
  };
  return { at, gelAge, knots };
}
