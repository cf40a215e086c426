import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { bestProgram, type ProgramMade } from '../program/best-program.ts';
import { programSetting } from '../program/program-stages.ts';
import { type RampPlan, rampPlan } from '../program/ramp-shots.ts';
import { likelyPlan } from './likely-plan.ts';
import type { SetpointOptions } from './setpoint.ts';
import type { ProgramCriterion } from './setpoint-choice.ts';
import type { Pair } from './setpoint-search.ts';

/** The best step program at the pressure of a setting. */
export interface SetpointProgram extends ProgramMade {
  /** Dwell of the first and of the last connector [s]. */
  readonly first: number;
  readonly last: number;
  /** Inside the tolerance, if there is one, in the stages of the station. */
  readonly keeps: boolean;
}

/** Shots of all the programs that may be worked out in vain. */
const MOST_SHOTS = 2500;

/** The programs of a recipe's pairs. */
export interface SetpointPrograms {
  readonly of: (pair: Pair) => SetpointProgram | null;
  /** Null where no tolerance says what a program is to keep. */
  readonly criterion: ProgramCriterion | null;
}

/**
 * Step programs at pressures, one of which is likely to be asked for, of a run from the first shot to the last; null where the recipe does not tell the run: without
 * a takt, at an age or fill of its own, or where nothing ends it.
 */
export function setpointPrograms(
  recipe: Recipe,
  options: SetpointOptions,
  likelyPressure: number,
): SetpointPrograms | null {
  const { station, process } = recipe;
  if (process?.takt === undefined || station?.dwell === undefined) return null;
  if (options.age !== undefined || options.dispensed !== undefined) return null;
  const { temperature, lotFactor } = options;
  const conditions = {
    ...(temperature !== undefined && { temperature }),
    ...(lotFactor !== undefined && { lotFactor }),
  };
  const exactPlan = (pressure: number) => rampPlan(recipe, { by: 'dwell', fixed: pressure, ...conditions }).result;
  const probe = exactPlan(likelyPressure);
  if (probe === null) return null;
  const tolerance = process.tolerance?.value ?? null;
  const stagesStation = station.ramp.stages;
  const programOf = (plan: RampPlan | null) => {
    const best = plan === null ? null : bestProgram(plan, tolerance);
    return plan === null || best === null ? null : judged({ ...best, plan, tolerance, stagesStation });
  };
  const of = keptByPressure(pressure => programOf(pressure === likelyPressure ? probe : exactPlan(pressure)));
  if (tolerance === null) return { of, criterion: null };
  const last = probe.shots.at(-1)!.point;
  const longest = process.practical_dwell[1]!.value;
  const least = probe.aim.aim * (1 - tolerance);
  const criterion: ProgramCriterion = {
    of,
    likely: keptByPressure(pressure => programOf(likelyPlan(probe, pressure))),
    tolerance,
    stages: stagesStation,
    mayEndPractical: ({ pressure }) => last.deliver({ pressure, dwell: longest }).volume >= least * (1 - GRACE),
    most: Math.max(2, Math.ceil(MOST_SHOTS / probe.shots.length)),
  };
  return { of, criterion };
}

/** What the fill of a syringe moves between plans whose runs end alike [-]. */
const GRACE = 1e-6;

function keptByPressure<T>(make: (pressure: number) => T): (pair: Pair) => T {
  const known = new Map<number, T>();
  return ({ pressure }) => {
    if (!known.has(pressure)) known.set(pressure, make(pressure));
    return known.get(pressure)!;
  };
}

function judged(made: ProgramMade): SetpointProgram {
  const { plan, program, tolerance, stagesStation } = made;
  const { shots, pressesPerShot } = plan;
  const at = (shot: number) => programSetting(program.stages, shot, pressesPerShot);
  const kept = tolerance === null || atMost(program.worst, tolerance);
  return {
    ...{ plan, program, tolerance, stagesStation },
    first: at(shots[0]!.shot),
    last: at(shots.at(-1)!.shot),
    keeps: kept && program.stages.length <= stagesStation,
  };
}
