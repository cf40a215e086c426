import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';

export const pressureAboveRating = rule(
  'pressure-above-rating',
  byCheck.error(
    'The released pressure is above the lowest rating of the air line',
    'Compressed air stores energy. A barrel, hose or fitting above its rating can burst and hurt somebody.',
    'Lower the pressure to the rating or below. The equipment’s manuals and local codes come first.',
  ),
  ({ recipe: { settings, station } }, say) => {
    const pressure = settings?.pressure;
    const rating = station?.rating;
    if (pressure === undefined || rating === undefined || atMost(pressure.value, rating.value)) return [];
    const message = `the released pressure is ${inWords(pressure.value, 'kPa')}, the lowest rating in the air line ${inWords(rating.value, 'kPa')}`;
    return [say(pressure.path, message)];
  },
);
