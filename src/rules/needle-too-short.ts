import { byCheck } from '../diagnostics/codes/coded.ts';
import { inWords } from '../diagnostics/number-words.ts';
import { atLeast } from '../numeric/limits.ts';
import { rule } from './rule.ts';

export const needleTooShort = rule(
  'needle-too-short',
  byCheck.error(
    'The needle is too short to reach its seat',
    'Its hub stands on the rear of the connector before its tip seats: the bore shot then goes into the open cavity, and air stays in the bore.',
    'Take a longer needle; where the hub goes into the connector as well, say how much stands free with `needle.exposed`.',
  ),
  ({ needleRoom: room }, say) => {
    if (room === null || atLeast(room.exposed, room.needed)) return [];
    const message = `${inWords(room.exposed, 'mm')} of the needle stand free, ${inWords(room.needed, 'mm')} are needed from the rear of the cavity to the seat`;
    return [say(room.exposedFrom.path, message)];
  },
);
