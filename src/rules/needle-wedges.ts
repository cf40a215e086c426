import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { rule } from './rule.ts';

export const needleWedges = rule(
  'needle-wedges',
  byCheck.error(
    'The needle wedges before its tip seats',
    'Behind its tip the needle is thicker than the cavity is there, so that it sticks before the tip has reached its seat.',
    'Take a tip with a longer thin part, or a straight needle; the wall of a tapered tip counts as equally thick everywhere.',
  ),
  ({ needleRoom: room }, say) => {
    if (room === null || room.wedged === null) return [];
    const { behindTip, outside, cavity } = room.wedged;
    const message = `${inWords(behindTip, 'mm')} behind its tip the needle is ${inWords(outside, 'mm')} outside, the cavity ${inWords(cavity, 'mm')} there with the tip at its seat`;
    return [say('needle.sections', message)];
  },
);
