/** Units in which findings speak: factor from SI. A finding is read by people; results keep their own keys. */
const FACTORS = {
  mm: 1e3,
  um: 1e6,
  uL: 1e9,
  nL: 1e12,
  kPa: 1e-3,
  Pa: 1,
  'mN/m': 1e3,
  deg: 180 / Math.PI,
  '%': 100,
} as const;

export type WordUnit = keyof typeof FACTORS;

/** A number in SI as text in a unit, four significant digits, no exponent where a plain number will do: "0.838 mm". */
export function inWords(si: number, unit: WordUnit, digits = 4): string {
  const value = si * FACTORS[unit];
  return `${plain(value, digits)} ${unit}`;
}

function plain(value: number, digits: number): string {
  const rounded = Number(value.toPrecision(digits));
  if (rounded !== 0 && (Math.abs(rounded) < 1e-4 || Math.abs(rounded) >= 1e7)) return rounded.toExponential();
  return String(rounded);
}
