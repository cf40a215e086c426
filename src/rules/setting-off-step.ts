import { inSeconds } from '../analysis/amount-text.ts';
import { inWords } from '../analysis/number-words.ts';
import { gridValue, isOnGrid } from '../analysis/setting-grid.ts';
import type { Finding } from '../diagnostics/finding.ts';
import type { Quantity } from '../recipe/recipe.ts';
import { rule, type Say } from './rule.ts';

/** Settings are whole steps of the station, counted in integers with a grace for binary rounding. */
export const settingOffStep = rule(
  {
    code: 'setting-off-step',
    severity: 'error',
    title: 'A setting lies between two steps of the station',
    why: 'The station rounds it, and the shot is that of the rounded setting.',
    remedy: 'Write the step that the station is really set to.',
  },
  ({ recipe: { settings, station } }, say) => {
    if (settings === undefined || station === undefined) return [];
    const pressureStep = station.pressure?.step.value;
    const dwellStep = station.dwell?.step.value;
    const kPa = (value: number) => inWords(value, 'kPa', 7);
    const stages = settings.ramp ?? [];
    return [
      ...between(say, settings.pressure, pressureStep, kPa),
      ...[settings.dwell, ...stages.map(({ first }) => first)].flatMap(q => between(say, q, dwellStep, seconds)),
      ...stages.flatMap(({ add }) => between(say, add, station.ramp.add_step.value, seconds)),
    ];
  },
);

/** Seconds as a station shows them: as many digits as it takes. */
function seconds(value: number): string {
  return Number(value.toPrecision(4)) === value ? inSeconds(value) : `${Number(value.toPrecision(10))} s`;
}

function between(
  say: Say,
  setting: Quantity | undefined,
  step: number | undefined,
  text: (value: number) => string,
): Finding[] {
  if (setting === undefined || step === undefined || isOnGrid(setting.value, step)) return [];
  const below = Math.floor(setting.value / step);
  const [low, high] = [below, below + 1].map(count => text(gridValue(count, step)));
  const message = `${setting.path} is ${text(setting.value)}, the station has steps of ${text(step)}`;
  return [say(setting.path, message, `write ${low} or ${high}`)];
}
