import type { Outcome } from '../../diagnostics/finding.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { programSetting } from '../program/program-stages.ts';
import { type RampPlan, type RunStart, rampPlan } from '../program/ramp-shots.ts';
import { type Program, releasedProgram } from '../setpoint/program-in-force.ts';
import { planRamp, worstOf } from './ramp.ts';

/** Where a program of dwell comes from; `kept`: a released dwell without a ramp; `syringe`: a check of that syringe. */
export type ProgramBasis = 'released' | 'kept' | 'computed, not released' | 'syringe';

/** A syringe that was checked: the program it runs from a shot on, and how it flows. */
export interface CheckedRun {
  readonly program: Program;
  readonly from: RunStart;
  readonly lotFactor: number;
  /** As measured at the check [K]; default: the recipe's. */
  readonly temperature?: number | undefined;
}

/** What the shots of a program do over the run of a syringe. */
export interface ProgramRun extends Program {
  readonly basis: ProgramBasis;
  readonly plan: RampPlan;
  readonly shots: readonly {
    readonly shot: number;
    readonly age: number; // [s]
    readonly dwell: number; // [s]
    readonly volume: number; // [m³]
    /** volume/aim − 1 [-]. */ readonly error: number;
    /** Inside the reach window, limits included; null without one. */ readonly withinWindow: boolean | null;
  }[];
  readonly worst: number;
  readonly end: RampPlan['end'];
}

/**
 * What the program in force delivers shot by shot until the run ends: the released one, or where pressure or dwell is
 * not released, the ramp that the recipe gives.
 */
export function programRun(recipe: Recipe): Outcome<ProgramRun> {
  const released = releasedProgram(recipe);
  if (released !== null) {
    const plan = rampPlan(recipe, { by: 'dwell', fixed: released.pressure });
    if (plan.result === null) return { result: null, findings: plan.findings };
    const basis = recipe.settings?.ramp?.length ? 'released' : 'kept';
    return { result: runOf(plan.result, released, basis), findings: plan.findings };
  }
  const { result, findings } = planRamp(recipe);
  if (result === null) return { result, findings };
  const { plan, program } = result;
  const { fixed: pressure, pressesPerShot } = plan;
  const computed = { pressure, stages: program.stages, pressesPerShot };
  return { result: runOf(plan, computed, 'computed, not released'), findings };
}

/** What the program of a checked syringe delivers to it, over the shots that it has left. */
export function checkedRun(recipe: Recipe, { program, from, lotFactor, temperature }: CheckedRun): Outcome<ProgramRun> {
  const conditions = { lotFactor, from, ...(temperature !== undefined && { temperature }) };
  const { result, findings } = rampPlan(recipe, { by: 'dwell', fixed: program.pressure, ...conditions });
  return { result: result === null ? null : runOf(result, program, 'syringe'), findings };
}

function runOf(plan: RampPlan, program: Program, basis: ProgramBasis): ProgramRun {
  const { aim, book } = plan.aim;
  const { min, max } = book.backfill;
  const shots = plan.shots.map(({ shot, age, error: errorAt }) => {
    const dwell = programSetting(program.stages, shot, program.pressesPerShot);
    const error = errorAt(dwell);
    const volume = aim * (1 + error);
    const withinWindow = min === null || max === null ? null : atMost(min, volume) && atMost(volume, max);
    return { shot, age, dwell, volume, error, withinWindow };
  });
  return { ...program, basis, plan, shots, worst: worstOf(shots.map(({ error }) => error)), end: plan.end };
}
