import { byCheck } from '../diagnostics/codes/coded.ts';
import type { Finding } from '../diagnostics/finding.ts';
import { inWords, shortened } from '../diagnostics/number-words.ts';
import { atLeast, atMost } from '../numeric/limits.ts';
import { gridValue, isOnGrid } from '../numeric/setting-grid.ts';
import type { Quantity } from '../recipe/schema/recipe.ts';
import { rule, type Say } from './rule.ts';

/** Settings are whole steps of the station, counted in integers with a grace for binary rounding. */
export const settingOffStep = rule(
  'setting-off-step',
  byCheck.error(
    'A setting lies between two steps of the station',
    'The station rounds it, and the shot is that of the rounded setting.',
    'Write the step that the station is really set to.',
  ),
  ({ recipe: { settings, station } }, say) => {
    if (settings === undefined || station === undefined) return [];
    const { pressure, dwell } = station;
    const addStep = { step: station.ramp.add_step };
    const kPa = (value: number) => inWords(value, 'kPa', 7);
    const stages = settings.ramp ?? [];
    return [
      ...between(say, settings.pressure, pressure, kPa),
      ...[settings.dwell, ...stages.map(({ first }) => first)].flatMap(q => between(say, q, dwell, seconds)),
      ...stages.flatMap(({ add }) => between(say, add, addStep, seconds)),
    ];
  },
);

/** Seconds as a station shows them: as many digits as it takes. */
function seconds(value: number): string {
  return inWords(value, 's', shortened(value) === value ? 4 : 10);
}

function between(
  say: Say,
  setting: Quantity | undefined,
  grid: { readonly step: Quantity; readonly min?: Quantity; readonly max?: Quantity } | undefined,
  text: (value: number) => string,
): Finding[] {
  if (setting === undefined || grid === undefined || isOnGrid(setting.value, grid.step.value)) return [];
  const step = grid.step.value;
  const [least, most] = [grid.min?.value ?? 0, grid.max?.value ?? Number.POSITIVE_INFINITY];
  const below = Math.floor(setting.value / step);
  const near = [below, below + 1].map(count => gridValue(count, step));
  const settable = near.filter(value => atLeast(value, least) && atMost(value, most)).map(text);
  const message = `${setting.path} is ${text(setting.value)}, the station has steps of ${text(step)}`;
  return [say(setting.path, message, settable.length === 0 ? undefined : `write ${settable.join(' or ')}`)];
}
