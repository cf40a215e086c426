import { byCheck } from '../diagnostics/codes/coded.ts';
import { inPercent, inSeconds } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';

/** Share of the shot that may come from the rise and fall of the air [-]; common practice, no source. */
const MOST_TRANSIENT = 0.2;

/** What the rise takes from the dwell at full flow, or the tail adds to the shot, whichever is the larger share. */
export const airRulesDwell = rule(
  'air-rules-dwell',
  byCheck.warning(
    'Rise and fall of the air rule the shot',
    'In so short a dwell the pressure is hardly ever the one that is set. The shot then follows valve, hose and what is left in the syringe, which nobody sets.',
    'Take a lower pressure or a narrower needle, so that the dwell grows; a shorter or narrower hose helps too.',
  ),
  ({ start, setting, startShot }, say) => {
    const point = start.result;
    if (point === null || setting === null || startShot === null || !(startShot.volume > 0)) return [];
    const full = point.steadyFlow(setting.pressure) * point.openTime(setting.dwell);
    const missing = 1 - (startShot.volume - startShot.ooze) / full;
    const tail = startShot.ooze / startShot.volume;
    if (!(Math.max(missing, tail) > MOST_TRANSIENT)) return [];
    const found =
      missing >= tail
        ? `the rise of the air takes ${inPercent(missing)} of what a dwell of ${inSeconds(setting.dwell)} would deliver`
        : `${inPercent(tail)} of the shot leaves after the dwell of ${inSeconds(setting.dwell)}`;
    return [say('settings.dwell', `${found}, more than ${inPercent(MOST_TRANSIENT)}`)];
  },
);
