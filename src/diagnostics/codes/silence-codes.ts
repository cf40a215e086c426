import { byCheckAlways, findingOf } from './coded.ts';

/** The codes of `silence` itself. */
export const silenceCodes = {
  'silence-unknown': byCheckAlways.warning(
    'A silence names a code that does not exist',
    'It silences nothing, and what it was meant for is still said.',
    'Correct the code; it stands in brackets at the end of a finding.',
  ),
  'silence-without-reason': byCheckAlways.warning(
    'A silence gives no reason',
    'Whoever reads the recipe next must be able to tell a decision from an oversight. Without a reason nothing is silenced.',
    'Say in `reason` why this recipe is right all the same.',
  ),
  'silence-unused': byCheckAlways.warning(
    'A silence silences nothing',
    'What it was meant for is mended or moved, and one day it would hide something else.',
    'Remove the entry.',
  ),
};

export const silenceFinding = findingOf(silenceCodes);
