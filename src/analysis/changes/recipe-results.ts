import type { Finding } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { cavity } from '../cavity/cavity.ts';
import { withinNumbers } from '../delivery/beyond-numbers.ts';
import { type PlannedGauge, plannedGauge } from '../dot/gauge.ts';
import { insert } from '../insert/insert.ts';
import { mix } from '../mix/mix.ts';
import { oven } from '../oven/oven.ts';
import { type ProgramRun, programRun } from '../ramp/program-run.ts';
import { dwellStageKeys, goodShots, type PlannedRamp, planRamp, programErrors, worstOf } from '../ramp/ramp.ts';
import { releasedProgram } from '../setpoint/program-in-force.ts';
import { setpointPair } from '../setpoint/setpoint.ts';
import { shot } from '../shot/shot.ts';
import type { ModelName } from './model-versions.ts';
import { ROUNDING, type Rounding } from './rounded-result.ts';

export type ResultValue = number | string | boolean | null;

/** One number (or word) that follows from a recipe. */
export interface RecipeResult {
  /** With its unit: `shot.volume_uL`. */
  readonly key: string;
  /** In full precision; null where it cannot be computed from this recipe. */
  readonly value: ResultValue;
  /** The models it rests on. */
  readonly models: readonly ModelName[];
}

export interface RecipeResults {
  readonly results: readonly RecipeResult[];
  /** Of all the analyses behind them, each once. */
  readonly findings: readonly Finding[];
}

type Row = readonly [key: string, value: ResultValue | undefined];

const NONE = { result: null, findings: [] } as const;
const FLOW: readonly ModelName[] = ['air', 'cavity', 'cure', 'flow'];

/**
 * What a recipe amounts to, in the numbers that people work by: the window and the bore shot, the shot of its settings,
 * the setpoint, the ramp with its end, what the released program makes of it, and the dots of a single shot. A block that the recipe lacks leaves nulls.
 */
export function recipeResults(recipe: Recipe): RecipeResults {
  const parts = {
    cavity: withinNumbers(() => cavity(recipe)),
    shot: withinNumbers(() => shot(recipe)),
    // The commands say more than is put on record, and what they only show costs most.
    setpoint: withinNumbers(() => setpointPair(recipe)),
    ramp: withinNumbers(() => planRamp(recipe)),
    program: withinNumbers(() => (releasedProgram(recipe) === null ? NONE : programRun(recipe))),
    gauge: withinNumbers(() => plannedGauge(recipe, { shots: 1 })),
    // A recipe that says nothing of cup, oven and pushing the fibre in has no line for them.
    ...(recipe.resin?.mix !== undefined && { mix: withinNumbers(() => mix(recipe)) }),
    ...(recipe.connector?.free_fibre !== undefined && { insert: withinNumbers(() => insert(recipe)) }),
    ...(recipe.process?.oven !== undefined && { oven: withinNumbers(() => oven(recipe)) }),
  };
  const rows: [readonly ModelName[], readonly Row[]][] = [
    [['cavity'], cavityRows(parts.cavity.result)],
    [[...FLOW, 'drop'], shotRows(parts.shot.result)],
    [[...FLOW, 'setpoint'], setpointRows(parts.setpoint.result)],
    [[...FLOW, 'ramp', 'setpoint'], rampRows(parts.ramp.result)],
    [[...FLOW, 'ramp'], programRows(parts.program.result)],
    [['cavity', 'drop'], dotRows(parts.gauge.result)],
    [['cure', 'mix'], parts.mix === undefined ? [] : mixRows(parts.mix.result)],
    [['cavity', 'cure', 'flow', 'insert'], parts.insert === undefined ? [] : insertRows(parts.insert.result)],
    [['cavity', 'cure', 'oven'], parts.oven === undefined ? [] : ovenRows(parts.oven.result)],
  ];
  const results = rows.flatMap(([models, list]) => list.map(([key, value = null]) => ({ key, value, models })));
  return { results, findings: Object.values(parts).flatMap(({ findings }) => findings) };
}

const SETTING = /(?:pressure_kPa|dwell_s|add_s|add_kPa|every|from_shot|shots?)$/;

/** What a result is rounded to when it is put on record or shown, by its key. */
export function roundingOf(key: string): Rounding {
  if (/_pct$/.test(key)) return ROUNDING.percent;
  return SETTING.test(key) ? ROUNDING.setting : ROUNDING.computed;
}

function cavityRows(r: ReturnType<typeof cavity>['result']): Row[] {
  return [
    ['cavity.seat_mm', r?.seat_mm],
    ['cavity.bore_shot_uL', r?.bore_shot_uL],
    ['cavity.backfill_min_uL', r?.backfill_min_uL],
    ['cavity.backfill_aim_uL', r?.backfill_aim_uL],
    ['cavity.backfill_max_uL', r?.backfill_max_uL],
    ['cavity.final_bead_diameter_mm', r?.final_bead_diameter_mm],
  ];
}

function shotRows(r: ReturnType<typeof shot>['result']): Row[] {
  return [
    ['shot.pressure_kPa', r?.pressure_kPa],
    ['shot.dwell_s', r?.dwell_s],
    ['shot.volume_uL', r?.volume_uL],
    ['shot.error_to_aim_pct', r?.error_to_aim_pct],
    ['shot.within_window', r?.within_window],
    ['shot.dot_diameter_mm', r?.dot_diameter_mm],
    ['shot.bore.time_to_wanted_bead_s', r?.bore?.time_to_wanted_bead_s],
  ];
}

function setpointRows(r: ReturnType<typeof setpointPair>['result']): Row[] {
  const times = (value: number | undefined, factor: number) => (value === undefined ? null : value * factor);
  return [
    ['setpoint.chosen.pressure_kPa', r === null ? null : r.pressure / 1e3],
    ['setpoint.chosen.dwell_s', r?.dwell],
    ['setpoint.chosen.volume_uL', times(r?.volume, 1e9)],
    ['setpoint.chosen.error_pct', times(r?.error, 100)],
  ];
}

function rampRows(r: PlannedRamp | null): Row[] {
  const stages = (r?.program.stages ?? []).flatMap((stage, i): Row[] =>
    Object.entries(dwellStageKeys(stage)).map(([key, value]): Row => [`ramp.program.stages[${i}].${key}`, value]),
  );
  const errors = r === null ? null : programErrors(r);
  return [
    ['ramp.pressure_kPa', r === null ? null : r.plan.fixed / 1e3],
    ...stages,
    ['ramp.worst_error_pct', errors === null ? null : worstOf(errors) * 100],
    ['ramp.good_shots', errors === null ? null : goodShots(errors, r!.tolerance)],
    ['ramp.end.reason', r?.plan.end.reason],
    ['ramp.end.shot', r?.plan.end.shot],
    ['ramp.end.age_min', r === null ? null : r.plan.end.age / 60],
  ];
}

/** The released program over the run of a syringe, as it stands in `settings`. */
function programRows(r: ProgramRun | null): Row[] {
  const volume = (at: number) => (r === null ? null : r.shots.at(at)!.volume * 1e9);
  return [
    ['program.worst_error_pct', r === null ? null : r.worst * 100],
    ['program.first_volume_uL', volume(0)],
    ['program.last_volume_uL', volume(-1)],
    ['program.end.reason', r?.end.reason],
    ['program.end.shot', r?.end.shot],
    ['program.end.age_min', r === null ? null : r.end.age / 60],
  ];
}

/** Seen from above, of one shot of the least, the wanted and the greatest backfill. */
function dotRows(r: PlannedGauge | null): Row[] {
  const across = (ring: 'min' | 'aim' | 'max') => (r === null ? null : r.plan.read.diameter(r.plan.window[ring]) * 1e3);
  return [
    ['dot.min_diameter_mm', across('min')],
    ['dot.aim_diameter_mm', across('aim')],
    ['dot.max_diameter_mm', across('max')],
  ];
}

/** Of the kit that fills one syringe. */
function mixRows(r: ReturnType<typeof mix>['result']): Row[] {
  return [
    ['mix.base_g', r?.base_g],
    ['mix.hardener_g', r?.hardener_g],
    ['mix.least_mass_g', r?.least_mass_g],
    ['mix.cup.peak_C', r?.cup?.peak_C],
    ['mix.cup.largest_mass_g', r?.cup?.largest_mass_g],
  ];
}

/** Centred and as far off as it can be, at the first shot of a syringe and at the last. */
function insertRows(r: ReturnType<typeof insert>['result']): Row[] {
  return [
    ['insert.buckling_N', r?.buckling_N],
    ['insert.greatest_speed_mm_s.centred', r?.greatest_speed_mm_s?.centred],
    ['insert.greatest_speed_mm_s.eccentric', r?.greatest_speed_mm_s?.eccentric],
    ['insert.last.greatest_speed_mm_s.centred', r?.last?.greatest_speed_mm_s?.centred],
    ['insert.last.greatest_speed_mm_s.eccentric', r?.last?.greatest_speed_mm_s?.eccentric],
  ];
}

/** At the first shot of a syringe, and at the last. */
function ovenRows(r: ReturnType<typeof oven>['result']): Row[] {
  const at = (name: string, keys: typeof r | NonNullable<typeof r>['last'] | undefined): Row[] => [
    [`${name}.conversion_end`, keys?.conversion_end],
    [`${name}.gel_min`, keys?.gel_min],
    [`${name}.glass_end_C`, keys?.glass_end_C],
    [`${name}.reach_end_mm`, keys?.reach_end_mm],
  ];
  return [...at('oven', r), ...at('oven.last', r?.last)];
}
