/**
 * A number for people with so many significant digits, never in exponent form, trailing zeros kept: 4.0 says more than 4.
 * Throws: RangeError for what is not finite, since a sheet must never show it.
 */
export function significant(value: number, digits: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`cannot print ${value}`);
  const text = value.toPrecision(digits);
  if (!text.includes('e')) return text;
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
  return value.toFixed(Math.min(decimals, 100));
}
