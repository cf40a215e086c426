import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';
import { untrimmedSpread } from './untrimmed-spread.ts';

/** Cp of 1: the window is as wide as six standard deviations. */
const WIDTH_IN_DEVIATIONS = 6;

export const spreadExceedsWindow = rule(
  'spread-exceeds-window',
  byCheck.warning(
    'The spread from shot to shot is wider than the reach window',
    'Needle, syringe and lot can be trimmed out by a release. What differs from one shot and one connector to the next cannot, and here it alone fills more than the window: Cp is below 1.',
    'Tighten the tolerance that rules (`dwellbook spread` shows the shares), take a longer dwell at a lower pressure, or widen the reach window.',
  ),
  (context, say) => {
    const { window } = context;
    const spread = window === null ? null : untrimmedSpread(context);
    if (window === null || spread === null) return [];
    const width = window.max - window.min;
    const needed = WIDTH_IN_DEVIATIONS * spread;
    if (needed <= width) return [];
    const message = `six standard deviations from shot to shot and connector to connector are ${inWords(needed, 'µL')}, the reach window is ${inWords(width, 'µL')} wide`;
    return [say('connector.reach', message)];
  },
);
