import { errorInWords } from '../analysis/program/ramp-shots.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import { inPercent } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';
import { shotInWords } from './settings-run.ts';

/** Of a recipe with a ramp, from the second shot on: the first has a rule of its own. */
export const programLeavesTolerance = rule(
  'program-leaves-tolerance',
  byCheck.error(
    'The released ramp leaves the tolerance before its end',
    'The dwell grows more slowly or faster than the resin thickens, so connectors late in the syringe get too little or too much.',
    'Take the program that `dwellbook ramp` finds, or stop earlier with `process.stop_at`.',
  ),
  ({ recipe, run }, say) => {
    const tolerance = recipe.process?.tolerance?.value;
    if (tolerance === undefined || !recipe.settings?.ramp?.length || run === null) return [];
    const leaving = run.shots.find(({ error }) => !atMost(Math.abs(error), tolerance));
    if (leaving === undefined || leaving.shot === 1) return [];
    const last = `the run ends with ${shotInWords(run.end)}`;
    const message = `with its ramp the shot leaves the tolerance of ${inPercent(tolerance)} at ${shotInWords(leaving)}: ${errorInWords(leaving.error)}; ${last}`;
    return [say('settings.ramp', message)];
  },
);
