import { errorInWords } from '../analysis/program/ramp-shots.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { inPercent, inWords } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';
import { shotInWords } from './settings-run.ts';

export const rampMissing = rule(
  'ramp-missing',
  byCheck.warning(
    'The shot needs a ramp and has none',
    'The mixed resin thickens, so that the same dwell delivers less and less until it is too little.',
    'Add the program that `dwellbook ramp` finds as `settings.ramp`, or stop earlier with `process.stop_at`.',
  ),
  ({ recipe, run, window }, say) => {
    if (recipe.settings?.ramp?.length || run === null || window === null) return [];
    const tolerance = recipe.process?.tolerance?.value ?? Number.POSITIVE_INFINITY;
    const leaving = run.shots.find(({ error, withinWindow }) => !withinWindow || !atMost(Math.abs(error), tolerance));
    if (leaving === undefined || leaving.shot === 1) return [];
    const limit = leaving.withinWindow
      ? `the tolerance of ${inPercent(tolerance)}`
      : `the reach window of ${inWords(window.min, 'µL')} to ${inWords(window.max, 'µL')}`;
    const message = `without a ramp the shot leaves ${limit} at ${shotInWords(leaving)}: ${errorInWords(leaving.error)}; the run ends with ${shotInWords(run.end)}`;
    return [say('settings', message)];
  },
);
