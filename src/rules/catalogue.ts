import { batchCodes } from '../diagnostics/codes/batch-codes.ts';
import { cavityCodes } from '../diagnostics/codes/cavity-codes.ts';
import type { CodeText } from '../diagnostics/codes/coded.ts';
import { deliveryCodes } from '../diagnostics/codes/delivery-codes.ts';
import { dotCodes } from '../diagnostics/codes/dot-codes.ts';
import { familyCodes } from '../diagnostics/codes/family-codes.ts';
import { floorCodes } from '../diagnostics/codes/floor-codes.ts';
import { freezeCodes } from '../diagnostics/codes/freeze-codes.ts';
import { insertCodes } from '../diagnostics/codes/insert-codes.ts';
import { mixCodes } from '../diagnostics/codes/mix-codes.ts';
import { ovenCodes } from '../diagnostics/codes/oven-codes.ts';
import { qualifyCodes } from '../diagnostics/codes/qualify-codes.ts';
import { recipeCodes } from '../diagnostics/codes/recipe-codes.ts';
import { scanCodes } from '../diagnostics/codes/scan-codes.ts';
import { silenceCodes } from '../diagnostics/codes/silence-codes.ts';
import { spreadCodes } from '../diagnostics/codes/spread-codes.ts';
import { RULES } from './rules.ts';

/** Where codes are on record, none of them in two places. */
export const CODE_TABLES: readonly Readonly<Record<string, CodeText>>[] = [
  recipeCodes,
  Object.fromEntries(RULES.map(({ code, text }) => [code, text])),
  silenceCodes,
  cavityCodes,
  dotCodes,
  deliveryCodes,
  spreadCodes,
  batchCodes,
  familyCodes,
  qualifyCodes,
  floorCodes,
  scanCodes,
  insertCodes,
  mixCodes,
  ovenCodes,
  freezeCodes,
];

/** Every code that a finding can have. */
export const CATALOGUE: Readonly<Record<string, CodeText>> = Object.assign({}, ...CODE_TABLES);
