import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';

export const backfillBeyondNeedle = rule(
  'backfill-beyond-needle',
  byCheck.warning(
    'The backfill does not fit around the seated needle',
    'With the needle at its seat the resin has only the room beside it. What is more comes out at the rear of the connector.',
    'Withdraw the needle while the backfill runs, take a thinner needle, or aim at a shorter reach; silence this with the reason where the work sheet says to withdraw.',
  ),
  ({ needleRoom: room, window }, say) => {
    if (room === null || room.wedged !== null || window === null || atMost(window.aim, room.capacity)) return [];
    const message = `the backfill is ${inWords(window.aim, 'µL')}, and ${inWords(Math.max(0, room.capacity), 'µL')} fit around the seated needle`;
    return [say('needle', message)];
  },
);
