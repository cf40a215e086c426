import { DomainError, requireFinite, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { gaussLegendre } from '../../numeric/gauss-legendre.ts';
import { GAS_CONSTANT } from './arrhenius.ts';

/** A constant temperature [K], or [age s, temperature K] pairs: straight between them, held before and after. */
export type TemperatureProfile = number | readonly (readonly [number, number])[];

/** Throws unless the profile has points, ages rise strictly and temperatures are above zero. */
export function requireTemperatureProfile(profile: TemperatureProfile): void {
  if (typeof profile === 'number') {
    requirePositive('temperature', profile, 'K');
    return;
  }
  if (profile.length === 0) throw new DomainError('temperature.length', 0, '-', 'at least 1');
  profile.forEach(([age, temperature], i) => {
    requireFinite(`temperature[${i}] age`, age, 's');
    requirePositive(`temperature[${i}]`, temperature, 'K');
    const before = profile[i - 1];
    if (before && age <= before[0]) throw new DomainError(`temperature[${i}] age`, age, 's', `above ${before[0]} s`);
  });
}

/** Temperature [K] at an age [s]. */
export function temperatureAt(profile: TemperatureProfile, age: number): number {
  if (typeof profile === 'number') return profile;
  const first = profile[0]!;
  if (age <= first[0]) return first[1];
  for (let i = 1; i < profile.length; i++) {
    const [to, hot] = profile[i]!;
    if (age <= to) {
      const [from, cold] = profile[i - 1]!;
      return cold + ((hot - cold) * (age - from)) / (to - from);
    }
  }
  return profile[profile.length - 1]![1];
}

/** Ages above zero [s] at which the slope of the profile changes. */
export function profileKnots(profile: TemperatureProfile): number[] {
  return typeof profile === 'number' ? [] : profile.map(([age]) => age).filter(age => age > 0);
}

export interface EffectiveAge {
  /** Age at the reference temperature that has the same effect [s]. */
  at(age: number): number;
  /** Its inverse [s]. */
  ageOf(effectiveAge: number): number;
}

/**
 * Age at the reference temperature that has the same effect on an Arrhenius process as the age along the profile [s].
 *
 *   θ = ∫₀^age exp(−(E/R)·(1/T − 1/T_ref)) dt
 *
 * Closed at constant temperature; along a slope by Gauss–Legendre over pieces across which the exponent moves by at most
 * one, which is exact to the last bits.
 * Evidence: closed form by exponential integrals along a slope; constant profiles; E = 0.
 */
export function effectiveAge(p: {
  activationEnergy: number;
  referenceTemperature: number;
  temperature: TemperatureProfile;
}): EffectiveAge {
  requireNonNegative('activationEnergy', p.activationEnergy, 'J/mol');
  requirePositive('referenceTemperature', p.referenceTemperature, 'K');
  requireTemperatureProfile(p.temperature);
  const rate = (age: number) =>
    Math.exp(
      (-p.activationEnergy / GAS_CONSTANT) * (1 / temperatureAt(p.temperature, age) - 1 / p.referenceTemperature),
    );
  const knots = [0, ...profileKnots(p.temperature)];
  const over = (a: number, b: number) => {
    const swing = Math.abs(Math.log(rate(b) / rate(a)));
    return gaussOverPieces(rate, a, b, Math.max(1, Math.ceil(swing)));
  };
  const sums = [0];
  for (let i = 1; i < knots.length; i++) sums.push(sums[i - 1]! + over(knots[i - 1]!, knots[i]!));
  const last = knots.length - 1;
  const at = (age: number) => {
    requireNonNegative('age', age, 's');
    let i = last;
    while (knots[i]! > age) i--;
    const from = knots[i]!;
    return sums[i]! + (i === last ? rate(from) * (age - from) : age === from ? 0 : over(from, age));
  };
  const ageOf = (wanted: number) => {
    requireNonNegative('effectiveAge', wanted, 's');
    let i = last;
    while (sums[i]! > wanted) i--;
    if (i === last) return knots[i]! + (wanted - sums[i]!) / rate(knots[i]!);
    // The rate is known, so Newton with bisection as its fence ends in a few steps.
    let low = knots[i]!;
    let high = knots[i + 1]!;
    let age = low + ((high - low) * (wanted - sums[i]!)) / (sums[i + 1]! - sums[i]!);
    for (let step = 0; step < 100; step++) {
      const miss = at(age) - wanted;
      if (miss === 0) return age;
      if (miss < 0) low = age;
      else high = age;
      const newton = age - miss / rate(age);
      const next = newton > low && newton < high ? newton : (low + high) / 2;
      if (Math.abs(next - age) <= 4e-16 * age) return next;
      age = next;
    }
    return age;
  };
  return { at, ageOf };
}

const RULE = gaussLegendre(10);

function gaussOverPieces(f: (x: number) => number, a: number, b: number, pieces: number): number {
  const half = (b - a) / (2 * pieces);
  let sum = 0;
  for (let k = 0; k < pieces; k++) {
    const middle = a + (2 * k + 1) * half;
    RULE.nodes.forEach((node, i) => {
      sum += RULE.weights[i]! * f(middle + half * node);
    });
  }
  return sum * half;
}
