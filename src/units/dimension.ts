/**
 * Exponents of the base dimensions, in this order: mass, length, time, current, temperature, luminous intensity, amount,
 * angle, information. Angle is kept as a dimension of its own, so that "30 deg" is no ratio and "30 %" no angle.
 */
export type Dimension = readonly number[];

const SYMBOLS = ['kg', 'm', 's', 'A', 'K', 'cd', 'mol', 'rad', 'bit'];

export const DIMENSIONLESS: Dimension = [0, 0, 0, 0, 0, 0, 0, 0, 0];

/** Dimension from its mass, length and time exponents, and the rarer ones by name. */
export function dimension(
  mass: number,
  length: number,
  time: number,
  other: { temperature?: number; amount?: number; angle?: number } = {},
): Dimension {
  return [mass, length, time, 0, other.temperature ?? 0, 0, other.amount ?? 0, other.angle ?? 0, 0];
}

/** Dimension of a·bᵖ. */
export function timesPower(a: Dimension, b: Dimension, power: number): Dimension {
  return a.map((exponent, i) => exponent + power * (b[i] ?? 0));
}

/** True when both are the same; 1e-9 of grace, because square roots make fractions. */
export function sameDimension(a: Dimension, b: Dimension): boolean {
  return a.every((exponent, i) => Math.abs(exponent - (b[i] ?? 0)) < 1e-9);
}

/** For people: `kg.m^-1.s^-2`, or `no unit`. */
export function dimensionText(d: Dimension): string {
  const parts = d.flatMap((exponent, i) => (exponent === 0 ? [] : [power(SYMBOLS[i] ?? '?', exponent)]));
  return parts.length === 0 ? 'no unit' : parts.join('.');
}

function power(symbol: string, exponent: number): string {
  return exponent === 1 ? symbol : `${symbol}^${Number(exponent.toPrecision(6))}`;
}
