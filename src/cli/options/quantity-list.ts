import { UsageError } from '../terminal/exit-status.ts';
import { type QuantityOption, quantityOf } from './quantity-option.ts';

/**
 * SI values of an option that carries several quantities, separated by commas: `3.6mm,3.7mm`. A unit after the last goes for all
 * that have none: `3.6,3.7 mm`.
 * Throws: UsageError for an empty list and for what is no such quantity.
 */
export async function quantityList(flag: string, text: string, option: QuantityOption): Promise<number[]> {
  const parts = text.split(',').map(part => part.trim());
  const last = parts.at(-1) ?? '';
  const unit = /^[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?\s*(\D.*)$/.exec(last)?.[1];
  if (parts.some(part => part === '')) throw new UsageError(`${flag}: "${text}" has an empty place between its commas`);
  const whole = parts.map(part => (unit !== undefined && /^[-+]?[\d.]+$/.test(part) ? `${part} ${unit}` : part));
  return Promise.all(whole.map(part => quantityOf(flag, part, option)));
}

/** Whole numbers in pairs, the first of each without a unit and nothing behind its comma: "3,6mm,3,7mm", "10,7 mg". */
const PAIRS = /^\s*\d+,\d+(?:\s*[^\d\s,.][^,]*)?(?:,\s*\d+,\d+(?:\s*[^\d\s,.][^,]*)?)*$/;

/**
 * For lists of readings, where a decimal comma would go unseen as two readings.
 * Throws: UsageError for a list whose commas may all stand for decimal points.
 */
export function refuseDecimalCommas(flag: string, text: string): void {
  if (!PAIRS.test(text) || !/[^\d\s,]/.test(text)) return;
  const [first, second] = /(\d+),(\d+)/.exec(text)!.slice(1) as [string, string];
  throw new UsageError(
    `${flag}: "${text}" may be ${first}.${second} or ${first} and ${second}; write a decimal point, or a space behind each comma of the list`,
  );
}
