import { UsageError } from './exit-status.ts';
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
