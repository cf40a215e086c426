import { byCheck } from '../diagnostics/codes/coded.ts';
import { rule } from './rule.ts';

export const readyAfterMissing = rule(
  'ready-after-missing',
  byCheck.warning(
    'The recipe does not say when its resin is ready',
    'Without `process.ready_after` the first shot counts as made at the moment of mixing. Filling and degassing take minutes in which the resin thickens, so that every dwell is too short and every stop too late.',
    'Write the time from mixing to the first production shot; `ready_after: 0 min` where it is none.',
  ),
  ({ recipe: { process, resin } }, say) => {
    if (process?.takt === undefined || process.ready_after.source !== 'default') return [];
    if (resin?.rheology === undefined || resin.cure.model === 'none') return [];
    return [say('process', 'there is no `ready_after`: the first shot counts as made at the moment of mixing')];
  },
);
