import { HELD_HELP, isHeld, NOT_HELD } from '../../units/held-number.ts';
import { UsageError } from '../terminal/exit-status.ts';

/**
 * Number of an option that is in the unit of a column: plain, or followed by that unit.
 * Throws: UsageError for another text, and for another unit, since a trend stays in the column's own.
 */
export function columnNumber(flag: string, text: string, unit: string | null): number {
  const [, number = '', given = ''] = /^([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(.*)$/.exec(text.trim()) ?? [];
  if (number === '') throw new UsageError(`${flag} ${text}: write a number${unit === null ? '' : ` in ${unit}`}`);
  if (given !== '' && given !== unit) {
    const own = unit === null ? 'the column has no unit' : `the column is in ${unit}`;
    throw new UsageError(`${flag} ${text}: ${own}; give the number in it`);
  }
  if (!isHeld(Number(number))) throw new UsageError(`${flag} ${text}: the number ${NOT_HELD}; ${HELD_HELP}`);
  return Number(number);
}
