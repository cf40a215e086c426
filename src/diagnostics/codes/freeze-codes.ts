import { byCommandAlways, findingOf } from './coded.ts';

/** The codes of the lock file; `check --frozen` and `freeze` find them. */
export const freezeCodes = {
  'frozen-moved': byCommandAlways.error(
    'Results moved, and the lock file did not',
    'Somebody at the line works by these numbers. A change that moves them is to be seen and accepted, not found out.',
    'Look at what moved; when it is meant, run `dwellbook freeze` on the recipe and commit the lock file.',
  ),
  'frozen-stale': byCommandAlways.warning(
    'The lock file is behind, and no result moved',
    'The lock file then names inputs that are no longer there, or keeps fewer results, and blames the next change for them.',
    'Run `dwellbook freeze` on the recipe and commit the lock file.',
  ),
  'frozen-missing': byCommandAlways.error(
    'The lock file does not have the recipe',
    'Nothing would be said when its results move.',
    'Run `dwellbook freeze` on the recipe and commit the lock file.',
  ),
  'frozen-gone': byCommandAlways.error(
    'The lock file has a recipe that is not there',
    'The recipe was renamed or removed; under its new name it is a recipe that nobody has looked at.',
    'Run `dwellbook freeze --prune` and commit the lock file.',
  ),
  'lock-invalid': byCommandAlways.error(
    'The lock file cannot be read',
    'A merge or an edit by hand has left something in it that is no lock file; nothing can be held to it.',
    'Take the last sound version of the file, or remove it and run `dwellbook freeze`.',
  ),
};

export const freezeFinding = findingOf(freezeCodes);
