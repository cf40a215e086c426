import { type Finding, finding } from '../diagnostics/finding.ts';
import type { CodeFacts } from './rule.ts';

/** The codes of `silence` itself. */
export const silenceCodes = {
  'silence-unknown': {
    severity: 'warning',
    title: 'A silence names a code that does not exist',
    why: 'It silences nothing, and what it was meant for is still said.',
    remedy: 'Correct the code; it stands in brackets at the end of a finding.',
  },
  'silence-without-reason': {
    severity: 'warning',
    title: 'A silence gives no reason',
    why: 'Whoever reads the recipe next must be able to tell a decision from an oversight. Without a reason nothing is silenced.',
    remedy: 'Say in `reason` why this recipe is right all the same.',
  },
  'silence-unused': {
    severity: 'warning',
    title: 'A silence has nothing to silence',
    why: 'What it was meant for is mended or moved, and one day it would hide something else.',
    remedy: 'Remove the entry.',
  },
} as const satisfies Record<string, CodeFacts>;

export function silenceFinding(
  code: keyof typeof silenceCodes,
  path: string,
  message: string,
  help: string = silenceCodes[code].remedy,
): Finding {
  return finding(silenceCodes[code].severity, code, path, message, help);
}
