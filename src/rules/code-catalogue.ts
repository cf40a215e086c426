import { AIR_CODES } from '../analysis/codes-air.ts';
import { batchCodes } from '../analysis/codes-batch.ts';
import { cavityCodes } from '../analysis/codes-cavity.ts';
import { deliveryCodes } from '../analysis/codes-delivery.ts';
import { floorCodes } from '../analysis/codes-floor.ts';
import { gaugeCodes } from '../analysis/codes-gauge.ts';
import type { Severity } from '../diagnostics/finding.ts';
import { RECIPE_CODES } from '../recipe/codes.ts';

/** What is known about a code of a finding. */
export interface CodeFacts {
  readonly severity: Severity;
  readonly title: string;
  readonly why: string;
  readonly remedy: string;
}

/** Where codes are on record: each table beside what finds them, none of them in two. */
export const CODE_TABLES: Readonly<Record<string, Readonly<Record<string, CodeFacts>>>> = {
  recipe: RECIPE_CODES,
  air: AIR_CODES,
  cavity: cavityCodes,
  delivery: deliveryCodes,
  gauge: gaugeCodes,
  batch: batchCodes,
  floor: floorCodes,
};

/** Every code that a finding can have. */
export const CODE_CATALOGUE: Readonly<Record<string, CodeFacts>> = Object.assign({}, ...Object.values(CODE_TABLES));
