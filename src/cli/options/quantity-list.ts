import { kindFacts } from '../../units/quantity-kind.ts';
import { type QuantityPart, quantityParts } from '../../units/quantity-parts.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { type QuantityOption, quantityOf } from './quantity-option.ts';

/**
 * SI values of an option that carries several quantities, separated by commas: `3.6mm,3.7mm`. A unit after the last goes for all
 * that have none: `3.6,3.7 mm`.
 * Throws: UsageError for an empty list and for what is no such quantity.
 */
export async function quantityList(flag: string, text: string, option: QuantityOption): Promise<number[]> {
  const parts = partsOf(flag, text, option);
  return Promise.all(parts.map(({ text: part }) => quantityOf(flag, part, option)));
}

/** Readings of an instrument as typed. */
export interface Readings {
  readonly values: readonly number[];
  /** Value of the finest last digit among them: what the instrument shows, zeros at the end left out or not. */
  readonly lastDigit: number;
}

/** As {@link quantityList}, of readings, whose digits say how well they were read. */
export async function readingList(flag: string, text: string, option: QuantityOption): Promise<Readings> {
  refuseDecimalCommas(flag, text);
  const parts = partsOf(flag, text, option);
  const values = await Promise.all(parts.map(({ text: part }) => quantityOf(flag, part, option)));
  const digits = await Promise.all(parts.map(({ lastDigit }) => quantityOf(flag, lastDigit, option)));
  return { values, lastDigit: Math.min(...digits) };
}

/** The parts of a list; refused where one is empty, or where none has the unit that they need. */
function partsOf(flag: string, text: string, { kind }: QuantityOption): QuantityPart[] {
  const parts = quantityParts(text);
  if (parts.some(part => part.text === ''))
    throw new UsageError(`${flag}: "${text}" has an empty place between its commas`);
  const usual = kindFacts(kind).units[0];
  if (usual !== undefined && parts.every(({ text: part, unit }) => unit === null && /^[-+.\d]/.test(part))) {
    throw new UsageError(`${flag}: a unit is missing: ${text.trim()} ${usual}`);
  }
  return parts;
}

/** Whole numbers in pairs, the first of each without a unit and nothing behind its comma: "3,6mm,3,7mm", "10,7 mg". */
const PAIRS = /^\s*\d+,\d+(?:\s*[^\d\s,.][^,]*)?(?:,\s*\d+,\d+(?:\s*[^\d\s,.][^,]*)?)*$/;

/**
 * For lists of readings, where a decimal comma would go unseen as two readings.
 * Throws: UsageError for a list whose commas may all stand for decimal points.
 */
function refuseDecimalCommas(flag: string, text: string): void {
  if (!PAIRS.test(text) || !/[^\d\s,]/.test(text)) return;
  const [first, second] = /(\d+),(\d+)/.exec(text)!.slice(1) as [string, string];
  throw new UsageError(
    `${flag}: "${text}" may be ${first}.${second} or ${first} and ${second}; write a decimal point, or a space behind each comma of the list`,
  );
}
