import { byCheck } from '../diagnostics/codes/coded.ts';
import { inMinutes } from '../diagnostics/number-words.ts';
import { atMost } from '../numeric/limits.ts';
import { rule } from './rule.ts';

/** The pot life of the data sheet, brought to the temperature of the room where the recipe says how. */
export const stopPastPotLife = rule(
  'stop-past-pot-life',
  byCheck.warning(
    'The run goes on past the pot life',
    'Up to its pot life the maker of the resin vouches for it; beyond, the thickening is extrapolated, and wetting and strength may suffer.',
    'Stop at the pot life or before, with `process.stop_at`.',
  ),
  ({ recipe, delivery }, say) => {
    const cure = recipe.resin?.cure;
    const stop = recipe.process?.stop_at;
    const course = delivery.result?.course;
    if (cure?.model !== 'pot-life' || stop === undefined || course === undefined) return [];
    const { age, viscosity_factor: factor } = stop;
    if (factor !== undefined && age === undefined && !atMost(factor.value, cure.factor.value)) {
      const message = `the run stops at a viscosity factor of ${factor.value}, the pot life ends at ${cure.factor.value}`;
      return [say(factor.path, message)];
    }
    const potLife = course.cure.ageAtFactor(cure.factor.value);
    if (age === undefined || potLife === null || atMost(age.value, potLife)) return [];
    if (factor !== undefined && atMost(factor.value, cure.factor.value)) return [];
    return [say(age.path, `the run stops at ${inMinutes(age.value)}, the pot life ends at ${inMinutes(potLife)}`)];
  },
);
