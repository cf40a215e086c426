import type { NeedleChoice } from '../../analysis/needles/needle-choice.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import { findNeedle, needleTable } from '../../physics/flow/needle-table.ts';
import { UsageError } from '../terminal/exit-status.ts';
import { quantityOf } from './quantity-option.ts';

const NEEDLE = /^(\d+s?)(?:\s+(regular|thin|extra-thin))?(?:\s*x\s*(.+))?$/;

/**
 * Needles of a list such as `20,21,22x12.7mm,30 thin x 6 mm`: gauge, wall and length, the last two as in the recipe when
 * they are left out.
 * Throws: UsageError for another text and for a gauge that the table does not have.
 */
export async function parseNeedles(text: string): Promise<NeedleChoice[]> {
  return Promise.all(text.split(',').map(part => parseNeedle(part.trim())));
}

async function parseNeedle(text: string): Promise<NeedleChoice> {
  const match = NEEDLE.exec(text);
  const [, gauge, wall, length] = match ?? [];
  if (gauge === undefined) {
    throw new UsageError(`--needles: "${text}" is no needle; write a gauge, or gauge and length: 22 or 22x12.7mm`);
  }
  if (findNeedle(gauge) === null) {
    const near = didYouMean(gauge, [...new Set(needleTable.map(row => row.gauge))]);
    throw new UsageError(`--needles: the table has no gauge ${gauge}; ${near ?? '`dwellbook needles` lists them'}`);
  }
  return {
    gauge,
    ...(wall !== undefined && { wall: wall as NonNullable<NeedleChoice['wall']> }),
    ...(length !== undefined && {
      length: await quantityOf('--needles', length, { kind: 'length', least: 'above zero' }),
    }),
  };
}
