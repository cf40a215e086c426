import { byCheck } from '../diagnostics/codes/coded.ts';
import { inMillilitres, inMinutes } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';

/** Share of the usable fill that may be left when the resin is too old [-]; common practice, no source. */
const MOST_WASTE = 0.5;

export const syringeOutlastsResin = rule(
  'syringe-outlasts-resin',
  byCheck.warning(
    'More than half of the syringe is left when the resin is too old',
    'It is thrown away, and a large mixed mass heats itself and ages faster than the data sheet says.',
    'Fill less, or mix smaller kits; silence this where the kit has no smaller size.',
  ),
  ({ recipe, run }, say) => {
    const syringe = recipe.station?.syringe;
    if (syringe === undefined || run === null || run.end.reason === 'syringe' || run.end.reason === 'dwell') return [];
    const usable = syringe.fill.value - syringe.left_over.value;
    const left = usable - run.dispensed;
    if (!(left > MOST_WASTE * usable)) return [];
    const message = `after ${run.end.shot} shots, at ${inMinutes(run.end.age)}, the resin is at its end and ${inMillilitres(left)} of ${inMillilitres(usable)} is left`;
    return [say(syringe.fill.path, message)];
  },
);
