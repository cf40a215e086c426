import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { atLeast, atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';

export const shotOutsideWindow = rule(
  'shot-outside-window',
  byCheck.error(
    'The released setting delivers a backfill outside the reach window',
    'Too little leaves the fibre unbonded, too much locks what has to move or floods the end face.',
    'Take the setting that `dwellbook setpoint` finds (`--write` puts it in), or correct what changed since.',
  ),
  ({ startShot, window }, say) => {
    if (startShot === null || startShot.volume === 0 || window === null) return [];
    if (atLeast(startShot.volume, window.min) && atMost(startShot.volume, window.max)) return [];
    const allowed = `${inWords(window.min, 'µL')} to ${inWords(window.max, 'µL')}`;
    return [say('settings.dwell', `the shot is ${inWords(startShot.volume, 'µL')}, the reach window takes ${allowed}`)];
  },
);
