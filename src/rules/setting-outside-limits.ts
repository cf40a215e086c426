import { releasedProgram } from '../analysis/setpoint/program-in-force.ts';
import { byCheck } from '../diagnostics/codes/coded.ts';
import type { Finding } from '../diagnostics/finding.ts';
import { inSeconds, inWords } from '../diagnostics/number-words.ts';
import { atLeast, atMost } from '../numeric/limits.ts';
import type { Quantity } from '../recipe/schema/recipe.ts';
import { rule, type Say } from './rule.ts';
import type { RuleContext } from './rule-context.ts';
import { shotInWords } from './settings-run.ts';

/** Pressure, dwell, the dwells of the ramp until its end, and the number of its stages. */
export const settingOutsideLimits = rule(
  'setting-outside-limits',
  byCheck.error(
    'A setting is outside the limits of the station',
    'The station cannot be set to it, so somebody would set something else, and nobody knows what.',
    'Find a setting inside the limits with `dwellbook setpoint`, or correct the limits of the station.',
  ),
  (context, say) => {
    const { settings, station } = context.recipe;
    const pressure = settings?.pressure;
    const dwells = [settings?.dwell, ...(settings?.ramp ?? []).map(stage => stage.first)];
    return [
      ...(pressure && station?.pressure ? outside(say, pressure, station.pressure, v => inWords(v, 'kPa')) : []),
      ...dwells.flatMap(dwell => (dwell && station?.dwell ? outside(say, dwell, station.dwell, inSeconds) : [])),
      ...stagesFinding(context, say),
      ...programFinding(context, say),
    ];
  },
);

function outside(
  say: Say,
  setting: Quantity,
  limits: { readonly min: Quantity; readonly max: Quantity },
  text: (value: number) => string,
): Finding[] {
  if (atLeast(setting.value, limits.min.value) && atMost(setting.value, limits.max.value)) return [];
  const allowed = `the station allows ${text(limits.min.value)} to ${text(limits.max.value)}`;
  return [say(setting.path, `${setting.path} is ${text(setting.value)}, ${allowed}`)];
}

function stagesFinding({ recipe: { settings, station } }: RuleContext, say: Say): Finding[] {
  const stages = settings?.ramp?.length ?? 0;
  if (station === undefined || stages <= station.ramp.stages) return [];
  return [say('settings.ramp', `the ramp has ${stages} stages, the station stores ${station.ramp.stages}`)];
}

/** A ramp grows; it may pass the limit long after the first shot. */
function programFinding({ recipe, run }: RuleContext, say: Say): Finding[] {
  const { settings, station } = recipe;
  if (!settings?.ramp?.length || station?.dwell === undefined || run === null) return [];
  const { min, max } = station.dwell;
  const stages = releasedProgram(recipe)?.stages ?? [];
  const isFirst = (shot: number) => shot === 1 || stages.some(stage => stage.fromShot === shot);
  const beyond = run.shots.find(({ dwell }) => !atLeast(dwell, min.value) || !atMost(dwell, max.value));
  if (beyond === undefined || isFirst(beyond.shot)) return [];
  const allowed = `the station allows ${inSeconds(min.value)} to ${inSeconds(max.value)}`;
  const message = `with its ramp the dwell is ${inSeconds(beyond.dwell)} at ${shotInWords(beyond)}, ${allowed}`;
  return [say('settings.ramp', message)];
}
