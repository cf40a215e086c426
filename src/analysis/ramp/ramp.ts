import { inMinutes, inPercent } from '../../diagnostics/amount-text.ts';
import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { atMost } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { setpoint } from '../setpoint/setpoint.ts';
import { distinct } from '../shot/shot.ts';
import { lateness } from './ramp-lateness.ts';
import { bestStage, type ProgramStage, programSetting, type StageProgram } from './ramp-program.ts';
import { type Pause, type RampBy, type RampEnd, type RampPlan, rampPlan } from './ramp-shots.ts';
import { fewestStages } from './ramp-stages.ts';
import { settingsProgram } from './settings-program.ts';

export interface RampOptions {
  /** What is ramped, default the dwell. */ readonly by?: RampBy;
  readonly pauses?: readonly Pause[];
  readonly temperature?: number; // [K]
  readonly lotFactor?: number;
}

export interface RampShotKeys {
  readonly shot: number;
  readonly age_min: number;
  readonly viscosity_factor: number;
  /** With prime and this connector. */
  readonly dispensed_mL: number;
  /** Exact: delivers the aim. */
  readonly dwell_s: number;
  readonly program_dwell_s: number;
  readonly pressure_kPa: number;
  readonly program_pressure_kPa: number;
  /** Of the shot of the program against the aim. */
  readonly error_pct: number;
}

export interface DwellStageKeys {
  readonly from_shot: number;
  readonly first_dwell_s: number;
  readonly add_s: number;
  readonly every: number;
}

export interface PressureStageKeys {
  readonly from_shot: number;
  readonly first_pressure_kPa: number;
  readonly add_kPa: number;
  readonly every: number;
}

export type StageKeys = DwellStageKeys | PressureStageKeys;

export interface RampResult {
  readonly by: RampBy;
  readonly aim_uL: number;
  readonly bore_shot_uL: number;
  /** The setting that stays; null for the one that is ramped. */
  readonly pressure_kPa: number | null;
  readonly dwell_s: number | null;
  readonly prime_shots: number;
  readonly presses_per_connector: number;
  readonly shots: readonly RampShotKeys[];
  readonly program: { readonly stages: readonly StageKeys[] };
  /** Stages that the station stores. */
  readonly stages_station: number;
  /** The best program of one stage, where the program above has more. */
  readonly one_stage: {
    readonly stage: StageKeys;
    readonly worst_error_pct: number;
    readonly good_shots: number | null;
  } | null;
  readonly tolerance_pct: number | null;
  readonly worst_error_pct: number;
  /** With the program's first setting kept. */
  readonly worst_error_without_ramp_pct: number;
  /** Shots within tolerance; null without one. */
  readonly good_shots: number | null;
  readonly good_shots_without_ramp: number | null;
  readonly end: { readonly reason: RampEnd; readonly shot: number; readonly age_min: number };
  /** How late the program may run before a shot leaves the tolerance, and which does first; null where none does. */
  readonly may_run_late: { readonly time_min: number; readonly shot: number } | null;
  readonly pauses: readonly { readonly duration_min: number; readonly after_shot: number }[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * How the dwell (or the pressure) must grow with age to keep the shot, and the best step program that a station can hold:
 * the exact optimum of one stage, or the fewest stages that keep the tolerance where one cannot.
 */
export function ramp(recipe: Recipe, options: RampOptions = {}): Outcome<RampResult> {
  const by = options.by ?? 'dwell';
  const fixed = fixedSetting(recipe, by, options);
  if (fixed.result === null) return { result: null, findings: distinct(fixed.findings) };
  const { pauses, temperature, lotFactor } = options;
  const plan = rampPlan(recipe, {
    ...{ by, fixed: fixed.result, pauses: pauses ?? [] },
    ...(temperature === undefined ? {} : { temperature }),
    ...(lotFactor === undefined ? {} : { lotFactor }),
  });
  const findings = [...fixed.findings, ...plan.findings];
  if (plan.result === null) return { result: null, findings: distinct(findings) };
  const tolerance = recipe.process?.tolerance?.value ?? null;
  const best = bestProgram(plan.result, tolerance);
  if (best === null) {
    findings.push(
      deliveryFinding(
        'setpoint-impossible',
        `station.${by}`,
        `no step of the ${by} lies inside the limits of the station`,
      ),
    );
    return { result: null, findings: distinct(findings) };
  }
  const stagesStation = recipe.station?.ramp.stages ?? 1;
  findings.push(...programFindings({ plan: plan.result, ...best, tolerance, stagesStation }));
  const result = resultOf(plan.result, { ...best, tolerance, stagesStation, pauses: pauses ?? [] });
  return { result, findings: distinct(findings) };
}

/** The setting that stays: the released one, else the setpoint's. */
function fixedSetting(recipe: Recipe, by: RampBy, options: RampOptions): Outcome<number> {
  const key = by === 'dwell' ? 'pressure' : 'dwell';
  const released = recipe.settings?.[key]?.value;
  if (released !== undefined) return { result: released, findings: [] };
  const found = setpoint(recipe, options);
  if (found.result === null) return { result: null, findings: found.findings };
  const { pressure_kPa, dwell_s } = found.result.chosen;
  return { result: key === 'pressure' ? pressure_kPa * 1e3 : dwell_s, findings: [] };
}

interface BestProgram {
  readonly program: StageProgram;
  readonly oneStage: StageProgram;
}

function bestProgram(plan: RampPlan, tolerance: number | null): BestProgram | null {
  const { limits, pressesPerShot, shots } = plan;
  const problem = { shots, pressesPerShot, ...limits };
  const oneStage = bestStage(problem);
  if (oneStage === null) return null;
  if (tolerance === null || atMost(oneStage.worst, tolerance)) return { program: oneStage, oneStage };
  return { program: fewestStages(problem, tolerance) ?? oneStage, oneStage };
}

function programFindings(
  p: BestProgram & { plan: RampPlan; tolerance: number | null; stagesStation: number },
): Finding[] {
  const { program, plan, tolerance, stagesStation } = p;
  if (tolerance === null) return [];
  if (!atMost(program.worst, tolerance)) {
    const message = `the best program misses the aim by up to ${inPercent(program.worst)}, the tolerance is ${inPercent(tolerance)}`;
    return [deliveryFinding('ramp-tolerance', 'process.tolerance', message)];
  }
  if (program.stages.length <= stagesStation) return [];
  const starts = program.stages.slice(1).map(stage => {
    const shot = plan.shots[stage.fromShot - 1]!;
    return `shot ${stage.fromShot} (${inMinutes(shot.age)})`;
  });
  const message = `the tolerance needs ${program.stages.length} stages, the station stores ${stagesStation}: switch at ${starts.join(', ')}`;
  return [deliveryFinding('ramp-stages', 'station.ramp.stages', message)];
}

function resultOf(
  plan: RampPlan,
  p: BestProgram & { tolerance: number | null; stagesStation: number; pauses: readonly Pause[] },
): RampResult {
  const { by, fixed, aim, shots, end } = plan;
  const { program, oneStage, tolerance } = p;
  const settings = settingsOf(plan, program.stages);
  const errors = shots.map((shot, i) => shot.error(settings[i]!));
  const first = program.stages[0]!.first;
  const unramped = shots.map(shot => shot.error(first));
  const late = tolerance === null ? null : lateness(plan, settings, tolerance);
  const oneErrors = () => shots.map((shot, i) => shot.error(settingsOf(plan, oneStage.stages)[i]!));
  return {
    by,
    aim_uL: aim.aim * 1e9,
    bore_shot_uL: aim.boreShot * 1e9,
    pressure_kPa: by === 'dwell' ? fixed / 1e3 : null,
    dwell_s: by === 'dwell' ? null : fixed,
    prime_shots: plan.primeShots,
    presses_per_connector: plan.pressesPerShot,
    shots: shots.map((shot, i) => ({
      shot: shot.shot,
      age_min: shot.age / 60,
      viscosity_factor: shot.point.viscosityFactor,
      dispensed_mL: shot.dispensed * 1e6,
      ...settingKeys(by, fixed, { exact: shot.exact, program: settings[i]! }),
      error_pct: errors[i]! * 100,
    })),
    program: { stages: program.stages.map(stage => stageKeys(by, stage)) },
    stages_station: p.stagesStation,
    one_stage:
      program.stages.length === 1
        ? null
        : {
            stage: stageKeys(by, oneStage.stages[0]!),
            worst_error_pct: oneStage.worst * 100,
            good_shots: goodShots(oneErrors(), tolerance),
          },
    tolerance_pct: tolerance === null ? null : tolerance * 100,
    worst_error_pct: worstOf(errors) * 100,
    worst_error_without_ramp_pct: worstOf(unramped) * 100,
    good_shots: goodShots(errors, tolerance),
    good_shots_without_ramp: goodShots(unramped, tolerance),
    end: { reason: end.reason, shot: end.shot, age_min: end.age / 60 },
    may_run_late: late === null ? null : { time_min: late.time / 60, shot: late.shot },
    pauses: p.pauses.map(pause => ({ duration_min: pause.duration / 60, after_shot: pause.afterShot })),
    models: shots[0]!.point.models,
    defaults: shots[0]!.point.defaults,
  };
}

function settingsOf(plan: RampPlan, stages: readonly ProgramStage[]): number[] {
  return plan.shots.map(({ shot }) => programSetting(stages, shot, plan.pressesPerShot));
}

function settingKeys(by: RampBy, fixed: number, { exact, program }: { exact: number; program: number }) {
  return by === 'dwell'
    ? { dwell_s: exact, program_dwell_s: program, pressure_kPa: fixed / 1e3, program_pressure_kPa: fixed / 1e3 }
    : { dwell_s: fixed, program_dwell_s: fixed, pressure_kPa: exact / 1e3, program_pressure_kPa: program / 1e3 };
}

function stageKeys(by: RampBy, { fromShot, first, add, every }: ProgramStage): StageKeys {
  return by === 'dwell'
    ? { from_shot: fromShot, first_dwell_s: first, add_s: add, every }
    : { from_shot: fromShot, first_pressure_kPa: first / 1e3, add_kPa: add / 1e3, every };
}

function worstOf(errors: readonly number[]): number {
  return errors.reduce((worst, error) => Math.max(worst, Math.abs(error)), 0);
}

function goodShots(errors: readonly number[], tolerance: number | null): number | null {
  return tolerance === null ? null : errors.filter(error => atMost(Math.abs(error), tolerance)).length;
}

/** What the shots of a program do over the run of a syringe. */
export interface ProgramEvaluation {
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
  readonly stages: readonly ProgramStage[];
}

/**
 * What a program of dwell delivers shot by shot until the run ends: the one in force (`settings`), or the stages given.
 * The pressure is `settings.pressure`, else the setpoint's.
 */
export function evaluateProgram(recipe: Recipe, stages?: readonly ProgramStage[]): Outcome<ProgramEvaluation> {
  const fixed = fixedSetting(recipe, 'dwell', {});
  if (fixed.result === null) return { result: null, findings: fixed.findings };
  const plan = rampPlan(recipe, { by: 'dwell', fixed: fixed.result });
  if (plan.result === null) return { result: null, findings: plan.findings };
  const { shots, aim, pressesPerShot, end } = plan.result;
  const program = stages ?? settingsProgram(recipe.settings, pressesPerShot);
  if (program === null) {
    const missing = deliveryFinding(
      'block-missing',
      'settings.dwell',
      'a program needs `settings.dwell` to start from',
    );
    return { result: null, findings: [...plan.findings, missing] };
  }
  const { min, max } = aim.book.backfill;
  const made = shots.map(({ shot, age, error: errorAt }) => {
    const dwell = programSetting(program, shot, pressesPerShot);
    const error = errorAt(dwell);
    const volume = aim.aim * (1 + error);
    const withinWindow = min === null || max === null ? null : atMost(min, volume) && atMost(volume, max);
    return { shot, age, dwell, volume, error, withinWindow };
  });
  const worst = worstOf(made.map(({ error }) => error));
  return { result: { shots: made, worst, end, stages: program }, findings: plan.findings };
}
