import { inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/setting-grid.ts';
import { rule } from './rule.ts';

export const stationAboveRating = rule(
  {
    code: 'station-above-rating',
    severity: 'warning',
    title: 'The station can be set above the lowest rating of the air line',
    why: 'Nothing but attention then keeps the line below its rating, and compressed air stores energy.',
    remedy: 'Limit the regulator to the rating, and write that limit as `station.pressure.max`.',
  },
  ({ recipe: { station } }, say) => {
    const max = station?.pressure?.max;
    const rating = station?.rating;
    if (max === undefined || rating === undefined || atMost(max.value, rating.value)) return [];
    const message = `the station goes up to ${inWords(max.value, 'kPa')}, the lowest rating in the air line is ${inWords(rating.value, 'kPa')}`;
    return [say(max.path, message)];
  },
);
