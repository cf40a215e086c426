import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';
import { shotInWords } from './settings-run.ts';

/** Of a recipe with a ramp, from the second shot on: the first has a rule of its own. */
export const programLeavesWindow = rule(
  'program-leaves-window',
  byCheck.error(
    'The released ramp leaves the reach window before its end',
    'Connectors late in the syringe get so little that the fibre is not bonded, or so much that they flood.',
    'Take the program that `dwellbook ramp` finds, or stop earlier with `process.stop_at`.',
  ),
  ({ recipe, run, window }, say) => {
    if (!recipe.settings?.ramp?.length || run === null || window === null) return [];
    const leaving = run.shots.find(({ withinWindow }) => !withinWindow);
    if (leaving === undefined || leaving.shot === 1) return [];
    const allowed = `${inWords(window.min, 'µL')} to ${inWords(window.max, 'µL')}`;
    const message = `with its ramp the shot leaves the reach window of ${allowed} at ${shotInWords(leaving)}: ${inWords(leaving.volume, 'µL')}`;
    return [say('settings.ramp', message)];
  },
);
