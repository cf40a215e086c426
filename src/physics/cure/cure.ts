import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { type Pchip, pchip } from '../../numeric/pchip.ts';
import { findRoot } from '../../numeric/root.ts';
import { GAS_CONSTANT } from './arrhenius.ts';
import { castroMacoskoFactor, conversionCurve } from './castro-macosko.ts';
import type { CastroMacosko, CureModel } from './cure-model.ts';
import { requireCureModel } from './cure-problems.ts';
import { effectiveAge, requireTemperatureProfile, type TemperatureProfile } from './temperature-profile.ts';

export type { CureModel } from './cure-model.ts';
export { type TemperatureProfile, temperatureAt } from './temperature-profile.ts';

/** Nothing is dispensed beyond this share of the gel age; *the design's rule*. */
const LAST_SHARE_OF_GEL_AGE = 0.9;

/** How a resin thickens along one temperature course, ready to be read at any age [s]. */
export interface CureCurve {
  /** Viscosity at an age over viscosity at age 0, same temperature and lot [-]; infinite from the gel point on. */
  factor(age: number): number;
  /** Conversion [-] at an age; null for models that know none. */
  conversion(age: number): number | null;
  /** First age [s] at which the factor is reached, or null if it never is. */
  ageAtFactor(factor: number): number | null;
  /** Age at the gel point [s], or null for models without one or where it is never reached. */
  readonly gelAge: number | null;
  /** Last age [s] at which anything is dispensed: 90 % of the gel age; null where there is no gel point. */
  readonly lastAge: number | null;
  /** Last age [s] that was measured; beyond it a table goes on straight in ln factor. Null for other models. */
  readonly measuredUntil: number | null;
  /** The model does not know how temperature moves its rate. */
  readonly ignoresTemperature: boolean;
}

export interface CureInput {
  cure: CureModel;
  temperature: TemperatureProfile;
  /** How far an integration looks for the gel point [s]. */
  until?: number;
}

/**
 * Thickening with age along a temperature course, age alone: viscosity now over viscosity at age 0, same temperature and
 * lot [-].
 *
 *   none: 1
 *   pot-life: factor^(θ/time), θ the age at reference temperature with the same effect (the age itself without an
 *     activation energy)
 *   roller: exp ∫ rate·exp(−E/(R·T)) dt
 *   castro-macosko: (α_g/(α_g − α))^(c₁ + c₂·α), Kamal–Sourour conversion α
 *   table: monotone cubic in ln factor over age, through (0, 1); the ages are taken as they are at any temperature
 *
 * One call integrates; reading the curve is cheap.
 * Throws: DomainError for parameters or a profile that make no sense, and for an age below zero.
 * Source: ISO 10364 and EN 14022 for pot life as time to a stated factor; Roller, Polym. Eng. Sci. 26 (1986) 432-440
 * (from memory) for dual Arrhenius; Castro & Macosko, AIChE J. 28 (1982) 250-260 (from memory).
 * Evidence: doubling time ln 2/k; exponential integrals along a slope; kinetics by quadrature.
 */
export function cureCurve(input: CureInput): CureCurve {
  const { cure, temperature } = input;
  requireCureModel(cure);
  requireTemperatureProfile(temperature);
  switch (cure.model) {
    case 'none':
      return { ...PLAIN, factor: unchanging, ageAtFactor: wanted => (wanted <= 1 ? 0 : null) };
    case 'pot-life': {
      const growth = Math.log(cure.factor) / cure.time; // of ln factor at reference temperature [1/s]
      const activationEnergy = cure.activationEnergy ?? 0;
      const { referenceTemperature } = cure;
      const curve = arrheniusCurve({ growth, activationEnergy, referenceTemperature, temperature });
      return { ...curve, ignoresTemperature: cure.activationEnergy === undefined };
    }
    case 'roller': {
      // The reference only scales the sums; the middle of the profile keeps them near one.
      const referenceTemperature = typeof temperature === 'number' ? temperature : temperature[0]![1];
      const { rate, activationEnergy } = cure;
      const growth = rate * Math.exp(-activationEnergy / (GAS_CONSTANT * referenceTemperature));
      return arrheniusCurve({ growth, activationEnergy, referenceTemperature, temperature });
    }
    case 'castro-macosko':
      return gellingCurve(cure, input);
    case 'table':
      return tableCurve(cure.points);
  }
}

const PLAIN = {
  conversion: () => null,
  gelAge: null,
  lastAge: null,
  measuredUntil: null,
  ignoresTemperature: false,
} as const;

function requireAge(age: number): number {
  requireNonNegative('age', age, 's');
  return age;
}

function unchanging(age: number): number {
  requireAge(age);
  return 1;
}

/** ln factor = growth · effective age. */
function arrheniusCurve(p: {
  growth: number;
  activationEnergy: number;
  referenceTemperature: number;
  temperature: TemperatureProfile;
}): CureCurve {
  const effective = effectiveAge(p);
  return {
    ...PLAIN,
    factor: age => Math.exp(p.growth * effective.at(age)),
    ageAtFactor: wanted => {
      requirePositive('factor', wanted, '-');
      if (wanted <= 1) return 0;
      const needed = Math.log(wanted) / p.growth;
      if (!Number.isFinite(needed)) return null;
      const age = effective.ageOf(needed);
      return Number.isFinite(age) ? age : null;
    },
  };
}

function gellingCurve(cure: CastroMacosko, { temperature, until }: CureInput): CureCurve {
  const curve = conversionCurve({ cure, temperature, ...(until === undefined ? {} : { horizon: until }) });
  const factor = (age: number) => castroMacoskoFactor(cure, curve.at(age));
  return {
    ...PLAIN,
    factor,
    conversion: age => curve.at(age),
    ageAtFactor: wanted => firstCrossing({ factor, knots: curve.knots, wanted }),
    gelAge: curve.gelAge,
    lastAge: curve.gelAge === null ? null : LAST_SHARE_OF_GEL_AGE * curve.gelAge,
  };
}

function tableCurve(points: readonly (readonly [number, number])[]): CureCurve {
  const first = points[0]!;
  // The factor is one at age 0 by its definition: that point is known even if the table starts later, and a table
  // that starts with another value was taken against another viscosity.
  const base = first[0] === 0 ? Math.log(first[1]) : 0;
  const known = first[0] === 0 ? points : [[0, 1] as const, ...points];
  const ages = known.map(([age]) => age);
  const logFactor: Pchip = pchip(
    ages,
    known.map(([, factor]) => Math.log(factor) - base),
  );
  const factor = (age: number) => Math.exp(logFactor(requireAge(age)));
  const last = ages[ages.length - 1]!;
  return {
    ...PLAIN,
    factor,
    ageAtFactor: wanted => {
      const inside = firstCrossing({ factor, knots: ages, wanted });
      if (inside !== null) return inside;
      const slope = logFactor.derivative(last);
      return slope > 0 ? last + (Math.log(wanted) - logFactor(last)) / slope : null;
    },
    measuredUntil: last,
    ignoresTemperature: true,
  };
}

/** First age at which a factor, taken as monotone between two knots, reaches a value, or null. */
function firstCrossing(p: {
  factor: (age: number) => number;
  knots: readonly number[];
  wanted: number;
}): number | null {
  requirePositive('factor', p.wanted, '-');
  if (p.wanted <= 1) return 0;
  for (let i = 1; i < p.knots.length; i++) {
    const to = p.knots[i]!;
    if (p.factor(to) < p.wanted) continue;
    const from = p.knots[i - 1]!;
    if (p.factor(to) === p.wanted) return to;
    // Against a bounded measure: 1 − wanted/factor is finite at the gel point, where the factor is not.
    return findRoot(age => 1 - p.wanted / p.factor(age), from, to, { relative: 1e-13 });
  }
  return null;
}
