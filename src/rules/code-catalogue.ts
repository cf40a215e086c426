import { AIR_CODES } from '../analysis/codes-air.ts';
import { cavityCodes } from '../analysis/codes-cavity.ts';
import type { Severity } from '../diagnostics/finding.ts';

/** What is known about a code of a finding. */
export interface CodeFacts {
  readonly severity: Severity;
  readonly title: string;
  readonly why: string;
  readonly remedy: string;
}

/** Every code that a finding can have, from the table of its home. */
export const CODE_CATALOGUE: Readonly<Record<string, CodeFacts>> = {
  ...AIR_CODES,
  ...cavityCodes,
};
