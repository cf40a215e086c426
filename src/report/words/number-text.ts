import { shortened } from '../../diagnostics/number-words.ts';
/** What stands where a value does not apply. */
export const NONE = '–';

/**
 * A number for people, rounded to `digits` significant digits (default 3; whole digits are never cut), with a real
 * minus sign left as the plain hyphen so that it can be copied. Null is a dash.
 */
export function numberText(value: number | null | undefined, digits = 3): string {
  if (value === null || value === undefined) return NONE;
  if (value === 0) return '0';
  const magnitude = Math.floor(Math.log10(Math.abs(value)));
  if (magnitude >= 9 || magnitude < -5) return value.toExponential(digits - 1);
  const rounded = shortened(value, digits);
  const decimals = Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(rounded))));
  return Math.abs(value) >= 10 ** digits ? value.toFixed(0) : value.toFixed(decimals);
}

/** Grams with the decimals that a scale of such a half-width [g] shows; four digits where none is known. */
export function weighedText(grams: number, scale: number | null): string {
  if (scale === null) return numberText(grams, 4);
  return grams.toFixed(Math.min(6, Math.max(0, Math.ceil(-Math.log10(scale) - 1e-9))));
}

/** A setting: as many digits as it has, up to `digits`, and no zeros after them. */
export function settingText(value: number | null | undefined, digits = 6): string {
  return value === null || value === undefined ? NONE : String(shortened(value, digits));
}

/** As many digits as it needs, at most `digits` significant ones, whole digits never cut: "40", "12.7". */
export function plain(value: number, digits = 3): string {
  return settingText(value, Math.max(digits, Math.ceil(Math.log10(Math.abs(value) + 1))));
}

/** A number with a fixed count of decimals, so that a column lines up. */
export function fixedText(value: number | null | undefined, decimals: number): string {
  return value === null || value === undefined ? NONE : withoutMinusZero(value.toFixed(decimals));
}

/** A number and its unit; a null has no unit. */
export function quantityText(value: number | null | undefined, unit: string, digits = 3): string {
  return value === null || value === undefined ? NONE : `${numberText(value, digits)} ${unit}`;
}

/** A unit as people write it: µL for the `uL` of keys and columns. */
export function unitSign(unit: string): string {
  return unit.replace(/(?<![A-Za-z])u(?=[A-Z]|m\b)/g, 'µ');
}

/** A signed percentage, as errors and trims are given. */
export function signedPercent(value: number | null | undefined, decimals = 1): string {
  if (value === null || value === undefined) return NONE;
  const text = withoutMinusZero(value.toFixed(decimals));
  return `${value > 0 && Number(text) !== 0 ? '+' : ''}${text} %`;
}

function withoutMinusZero(text: string): string {
  return Number(text) === 0 ? text.replace('-', '') : text;
}
