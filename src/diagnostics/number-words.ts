/** Units in which findings speak: factor from SI. A finding is read by people; results keep their own keys. */
const FACTORS = {
  mm: 1e3,
  µm: 1e6,
  mL: 1e6,
  µL: 1e9,
  kPa: 1e-3,
  Pa: 1,
  g: 1e3,
  K: 1,
  'mN/m': 1e3,
  s: 1,
  min: 1 / 60,
  deg: 180 / Math.PI,
  '%': 100,
} as const;

export type WordUnit = keyof typeof FACTORS;

/** A number in SI as text in a unit, four significant digits, no exponent where a plain number will do: "0.838 mm". */
export function inWords(si: number, unit: WordUnit, digits = 4): string {
  const value = shortened(si * FACTORS[unit], digits);
  const plain = value === 0 || (Math.abs(value) >= 1e-4 && Math.abs(value) < 1e7);
  return `${plain ? value : value.toExponential()} ${unit}`;
}

/** A number rounded to so many significant digits; as text it has no zeros after them. */
export function shortened(value: number, digits = 4): number {
  return Number(value.toPrecision(digits));
}

export const inSeconds = (time: number): string => inWords(time, 's');
export const inMinutes = (time: number): string => inWords(time, 'min');
export const inMillilitres = (volume: number): string => inWords(volume, 'mL');
export const inPercent = (share: number): string => inWords(share, '%');

/** A chance as text: one below all that matters has no digits. */
export const inChances = (chance: number): string =>
  chance < 1e-6 ? 'less than one in a million' : inWords(chance, '%', 2);

/** A temperature [K] as text. */
export const inCelsius = (temperature: number): string => `${shortened(temperature - 273.15)} °C`;

/** A count with what is counted: "1 shot", "3 shots". */
export const counted = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;
