import type { Outcome } from '../../diagnostics/finding.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { ramp } from './ramp.ts';
import { type ProgramStage, programSetting } from './ramp-program.ts';
import { type RampPlan, rampPlan } from './ramp-shots.ts';
import { settingsProgram } from './settings-program.ts';

/** Where a program of dwell comes from; `kept`: a released dwell without a ramp. */
export type RampBasis = 'released' | 'kept' | 'computed, not released';

export interface RampInForce {
  /** `settings` has pressure and dwell. */
  readonly released: boolean;
  readonly basis: RampBasis;
  readonly pressure: number; // [Pa]
  readonly stages: readonly ProgramStage[];
  readonly plan: RampPlan;
  /** The dwell of every shot of the plan [s], and what it misses the aim by [-]. */
  readonly shots: readonly { readonly dwell: number; readonly error: number }[];
}

/**
 * The program a station has to run: the released settings, or where pressure or dwell is not released, the ramp
 * and with it the setpoint that the recipe gives.
 */
export function rampInForce(recipe: Recipe): Outcome<RampInForce> {
  const { settings } = recipe;
  const pressure = settings?.pressure?.value;
  const presses = recipe.process?.bore_shot === 'timed' ? 2 : 1;
  const released = settings?.dwell === undefined ? null : settingsProgram(settings, presses);
  if (pressure !== undefined && released !== null) {
    const basis = settings?.ramp?.length ? 'released' : 'kept';
    return withPlan(recipe, { released: true, basis, pressure, stages: released });
  }
  const { settings: _unreleased, ...rest } = recipe;
  const base: Recipe = pressure === undefined ? rest : recipe;
  const { result, findings } = ramp(base);
  if (result === null) return { result: null, findings };
  const stages = result.program.stages.flatMap(stage =>
    'add_s' in stage
      ? [{ fromShot: stage.from_shot, first: stage.first_dwell_s, add: stage.add_s, every: stage.every }]
      : [],
  );
  const computed = {
    released: false,
    basis: 'computed, not released',
    pressure: result.pressure_kPa! * 1e3,
    stages,
  } as const;
  const found = withPlan(base, computed);
  return { ...found, findings: [...findings, ...found.findings] };
}

function withPlan(recipe: Recipe, program: Omit<RampInForce, 'plan' | 'shots'>): Outcome<RampInForce> {
  const { result: plan, findings } = rampPlan(recipe, { by: 'dwell', fixed: program.pressure });
  if (plan === null) return { result: null, findings };
  const shots = plan.shots.map(({ shot, error }) => {
    const dwell = programSetting(program.stages, shot, plan.pressesPerShot);
    return { dwell, error: error(dwell) };
  });
  return { result: { ...program, plan, shots }, findings };
}
