import type { Outcome } from '../../diagnostics/finding.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import { gridValue } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { bestProgram, type ProgramPlan } from '../program/best-program.ts';
import { type RunStart, rampPlan } from '../program/ramp-shots.ts';
import type { RampEnd } from '../program/run-end.ts';
import { type Program, settingAt } from '../setpoint/program-in-force.ts';
import type { ShotLeft } from './shots-left.ts';

/** The program of one syringe, from the shot of its check on. */
export interface TrimmedProgram {
  readonly program: Program;
  /** Exact trimmed dwell over the dwell of the program before, at the first shot. */
  readonly factor: number;
  readonly shots: readonly ShotLeft[];
  /** Null where no run can be planned. */
  readonly end: { readonly reason: RampEnd; readonly shot: number; readonly age: number } | null;
}

/**
 * What `ramp` gives a syringe of a lot factor, with the pressure kept, from a shot on; in as many stages as the station
 * stores. Null where no run is left, with findings that say why.
 */
export function trimmedProgram(
  recipe: Recipe,
  p: { before: Program; lotFactor: number; temperature?: number | undefined; from: RunStart },
): Outcome<TrimmedProgram> {
  const { before, lotFactor, temperature, from } = p;
  const conditions = { lotFactor, from, ...(temperature !== undefined && { temperature }) };
  const { result: plan, findings } = rampPlan(recipe, { by: 'dwell', fixed: before.pressure, ...conditions });
  const program = plan === null ? null : storedProgram(recipe, before, plan);
  if (plan === null || program === null) return { result: null, findings };
  const result: TrimmedProgram = {
    program,
    factor: plan.shots[0]!.exact / settingAt(before, from.shot).dwell,
    shots: plan.shots.map(({ shot, age, point }) => ({ shot, age, dispensed: point.dispensed })),
    end: plan.end,
  };
  return { result, findings };
}

/** The best program of a plan in as many stages as the station stores; null where there is none. */
export function storedProgram({ process, station }: Recipe, before: Program, plan: ProgramPlan): Program | null {
  const best = bestProgram(plan, process?.tolerance?.value ?? null);
  if (best === null) return null;
  const { stages } = best.program.stages.length <= (station?.ramp.stages ?? 1) ? best.program : best.oneStage;
  return { ...before, stages };
}

/**
 * Where no run can be planned: every dwell and addition of the program from a shot on times a factor, on the station's
 * steps. Null where the dwell leaves the station's limits.
 */
export function scaledProgram(
  { station }: Recipe,
  { before, shot, factor }: { before: Program; shot: ShotLeft; factor: number },
): TrimmedProgram | null {
  const onStep = (value: number, step: number | undefined) =>
    step === undefined ? value : gridValue(Math.round(value / step), step);
  const { add, every } = before.stages.findLast(({ fromShot }) => fromShot <= shot.shot) ?? before.stages[0]!;
  const first = onStep(settingAt(before, shot.shot).dwell * factor, station?.dwell?.step.value);
  const { min, max } = station?.dwell ?? {};
  const inside = atLeast(first, min?.value ?? 0) && atMost(first, max?.value ?? Number.POSITIVE_INFINITY);
  if (!inside || first <= 0) return null;
  const added = onStep(add * factor, station?.ramp.add_step.value);
  const stages = [{ fromShot: shot.shot, first, add: added, every }];
  return { program: { ...before, stages }, factor, shots: [shot], end: null };
}
