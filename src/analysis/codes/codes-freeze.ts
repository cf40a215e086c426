import { type Finding, finding, type Severity } from '../../diagnostics/finding.ts';

interface FreezeCode {
  readonly severity: Severity;
  readonly title: string;
  readonly why: string;
  readonly remedy: string;
}

/** The codes of the lock file; `check --frozen` and `freeze` find them. */
export const freezeCodes = {
  'frozen-moved': {
    severity: 'error',
    title: 'Results moved, and the lock file did not',
    why: 'Somebody at the line works by these numbers. A change that moves them is to be seen and accepted, not found out.',
    remedy: 'Look at what moved; when it is meant, run `dwellbook freeze` on the recipe and commit the lock file.',
  },
  'frozen-stale': {
    severity: 'warning',
    title: 'Inputs differ from the lock file, and no result moved',
    why: 'The lock file then names inputs that are no longer there, and blames the next change for them.',
    remedy: 'Run `dwellbook freeze` on the recipe and commit the lock file.',
  },
  'frozen-missing': {
    severity: 'error',
    title: 'The lock file does not have the recipe',
    why: 'Nothing would be said when its results move.',
    remedy: 'Run `dwellbook freeze` on the recipe and commit the lock file.',
  },
  'frozen-gone': {
    severity: 'error',
    title: 'The lock file has a recipe that is not there',
    why: 'The recipe was renamed or removed; under its new name it is a recipe that nobody has looked at.',
    remedy: 'Run `dwellbook freeze --prune` and commit the lock file.',
  },
  'lock-invalid': {
    severity: 'error',
    title: 'The lock file cannot be read',
    why: 'A merge or an edit by hand has left something in it that is no lock file; nothing can be held to it.',
    remedy: 'Take the last sound version of the file, or remove it and run `dwellbook freeze`.',
  },
} as const satisfies Record<string, FreezeCode>;

export type FreezeCodeName = keyof typeof freezeCodes;

/** A finding of one of these codes; `help` says something more to the point where it can. */
export function freezeFinding(code: FreezeCodeName, message: string, help: string = freezeCodes[code].remedy): Finding {
  return finding(freezeCodes[code].severity, code, null, message, help);
}
