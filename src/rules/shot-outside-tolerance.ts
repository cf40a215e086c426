import { errorInWords } from '../analysis/program/ramp-shots.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { inPercent, inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';

export const shotOutsideTolerance = rule(
  'shot-outside-tolerance',
  byCheck.error(
    'The released setting misses the aim by more than the tolerance',
    'The first shot of a fresh syringe, at `process.ready_after`, is already too small or too large.',
    'Take the setting that `dwellbook setpoint` finds (`--write` puts it in), or correct what changed since.',
  ),
  ({ recipe, startShot, window }, say) => {
    const tolerance = recipe.process?.tolerance?.value;
    if (tolerance === undefined || startShot === null || startShot.volume === 0 || window === null) return [];
    const error = startShot.volume / window.aim - 1;
    if (atMost(Math.abs(error), tolerance)) return [];
    const numbers = `${inWords(startShot.volume, 'µL')} for an aim of ${inWords(window.aim, 'µL')}`;
    const message = `the shot is ${numbers}: ${errorInWords(error)}, the tolerance is ${inPercent(tolerance)}`;
    return [say('settings.dwell', message)];
  },
);
