import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';

export const stationAboveRating = rule(
  'station-above-rating',
  byCheck.warning(
    'The station can be set above the lowest rating of the air line',
    'Nothing but attention then keeps the line below its rating, and compressed air stores energy.',
    'Limit the regulator to the rating, and write that limit as `station.pressure.max`.',
  ),
  ({ recipe: { station } }, say) => {
    const max = station?.pressure?.max;
    const rating = station?.rating;
    if (max === undefined || rating === undefined || atMost(max.value, rating.value)) return [];
    const message = `the station goes up to ${inWords(max.value, 'kPa')}, the lowest rating in the air line is ${inWords(rating.value, 'kPa')}`;
    return [say(max.path, message)];
  },
);
