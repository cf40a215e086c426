import { byCommandAlways, findingOf } from './coded.ts';

/** The codes of a qualification. */
export const qualifyCodes = {
  'qualify-digest': byCommandAlways.error(
    'The check log is of other inputs than the recipe',
    'A pack proves one recipe by its digest. Checks that were made with other inputs under the same name prove another one.',
    'Qualify the recipe as it was when the checks were made, or check first pieces anew.',
  ),
  'qualify-open': byCommandAlways.warning(
    'Something is missing for this qualification',
    'A pack that lacks a study, or shows less than was asked for, is no proof of it.',
    'Add what is missing, and sign only what is whole.',
  ),
};

export const qualifyFinding = findingOf(qualifyCodes);
