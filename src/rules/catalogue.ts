import { AIR_CODES } from '../analysis/codes/codes-air.ts';
import { batchCodes } from '../analysis/codes/codes-batch.ts';
import { cavityCodes } from '../analysis/codes/codes-cavity.ts';
import { deliveryCodes } from '../analysis/codes/codes-delivery.ts';
import { floorCodes } from '../analysis/codes/codes-floor.ts';
import { freezeCodes } from '../analysis/codes/codes-freeze.ts';
import { gaugeCodes } from '../analysis/codes/codes-gauge.ts';
import { spreadCodes } from '../analysis/codes/codes-spread.ts';
import { RECIPE_CODES } from '../recipe/format/codes.ts';
import { silenceCodes } from './codes-silence.ts';
import type { CodeFacts } from './rule.ts';
import { RULES } from './rules.ts';

export type { CodeFacts } from './rule.ts';

export interface CatalogueEntry extends CodeFacts {
  /** `check` can find it; the others come from one command or another. */
  readonly checked: boolean;
  /** A recipe can silence it. */
  readonly silenceable: boolean;
}

const ruleCodes: Readonly<Record<string, CodeFacts>> = Object.fromEntries(RULES.map(rule => [rule.code, rule]));

/** Where codes are on record: each table beside what finds them, none of them in two. */
export const CODE_TABLES: Readonly<Record<string, Readonly<Record<string, CodeFacts>>>> = {
  recipe: RECIPE_CODES,
  rules: ruleCodes,
  silence: silenceCodes,
  air: AIR_CODES,
  cavity: cavityCodes,
  delivery: deliveryCodes,
  gauge: gaugeCodes,
  spread: spreadCodes,
  batch: batchCodes,
  floor: floorCodes,
  freeze: freezeCodes,
};

/** Tables of which `check` can find every code. */
const CHECKED_TABLES = ['recipe', 'rules', 'silence', 'air', 'cavity'];
/** What it can find of the others. */
const CHECKED_CODES = [
  ...['flow-model-invalid', 'cure-temperature', 'resin-does-not-flow', 'flow-not-laminar', 'kinetic-loss'],
  ...['needle-cone-steep', 'shear-outside-curve', 'head-left-out', 'meniscus-left-out'],
  ...['gauge-reading-coarse', 'gauge-rings-close'],
];
/**
 * What it cannot find of those tables: a recipe without a block is judged by the blocks it has; the loader refuses the
 * numbers first, so that only a recipe built in code can have them; a file has no overrides and is not written to.
 */
const UNCHECKED_CODES = [
  'cavity-incomplete',
  ...['cure-model-invalid', 'syringe-overfull'],
  ...['override-invalid', 'write-impossible'],
];

/** Every code that a finding can have. */
export const CATALOGUE: Readonly<Record<string, CatalogueEntry>> = Object.fromEntries(
  Object.entries(CODE_TABLES).flatMap(([home, table]) =>
    Object.entries(table).map(([code, { severity, title, why, remedy }]) => {
      const checked =
        (CHECKED_TABLES.includes(home) || CHECKED_CODES.includes(code)) && !UNCHECKED_CODES.includes(code);
      const silenceable = !['recipe', 'silence', 'freeze'].includes(home);
      return [code, { severity, title, why, remedy, checked, silenceable }];
    }),
  ),
);
