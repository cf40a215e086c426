import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mixedByClock } from '../delivery/room.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import { type BestProgram, bestProgram, programFindings } from '../program/best-program.ts';
import { type ProgramStage, programSetting } from '../program/program-stages.ts';
import { type Pause, type RampBy, type RampPlan, rampPlan } from '../program/ramp-shots.ts';
import type { RampEnd } from '../program/run-end.ts';
import { partInForce } from '../setpoint/program-in-force.ts';
import { lateness } from './ramp-lateness.ts';

export interface RampOptions {
  /** What is ramped, default the dwell. */ readonly by?: RampBy;
  readonly pauses?: readonly Pause[];
  readonly temperature?: number; // [K]
  readonly lotFactor?: number;
  /** Time of the day of the mixing [s since midnight]: the resin follows `process.room`; default: `process.temperature`. */
  readonly mixedAt?: number;
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
  /** Since midnight; null where the run is not placed on the clock. */
  readonly mixed_at_min: number | null;
  /** Of the resin at the first and at the last shot of such a run. */
  readonly room_C: readonly [number, number] | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * How the dwell (or the pressure) must grow with age to keep the shot, and the best step program that a station can hold:
 * the exact optimum of one stage, or the fewest stages that keep the tolerance where one cannot.
 */
export function ramp(recipe: Recipe, options: RampOptions = {}): Outcome<RampResult> {
  const { result, findings } = planRamp(recipe, options);
  return { result: result === null ? null : resultOf(result, takenByDefault(recipe, 'run')), findings };
}

/** A ramp as it was worked out; SI. */
export interface PlannedRamp extends BestProgram {
  readonly plan: RampPlan;
  readonly tolerance: number | null;
  readonly stagesStation: number;
  readonly pauses: readonly Pause[];
  readonly mixedAt: number | null;
}

/** {@link ramp} in SI: every shot of the run, and the step program for them. */
export function planRamp(given: Recipe, options: RampOptions = {}): Outcome<PlannedRamp> {
  const { by = 'dwell', pauses = [], mixedAt = null, ...conditions } = options;
  const placed = mixedAt === null ? null : mixedByClock(given, mixedAt, 'a ramp by the clock');
  if (placed?.result === null) return { result: null, findings: placed.findings };
  const recipe = placed?.result ?? given;
  const fixed = partInForce(recipe, by === 'dwell' ? 'pressure' : 'dwell', conditions);
  if (fixed.result === null) return { result: null, findings: distinct(fixed.findings) };
  const plan = rampPlan(recipe, { by, fixed: fixed.result, pauses, ...conditions });
  const findings = [...fixed.findings, ...plan.findings];
  if (plan.result === null) return { result: null, findings: distinct(findings) };
  const tolerance = recipe.process?.tolerance?.value ?? null;
  const best = bestProgram(plan.result, tolerance);
  if (best === null) {
    const message = `no step of the ${by} lies inside the limits of the station`;
    findings.push(deliveryFinding('setpoint-impossible', `station.${by}`, message));
    return { result: null, findings: distinct(findings) };
  }
  const stagesStation = recipe.station?.ramp.stages ?? 1;
  const planned = { plan: plan.result, ...best, tolerance, stagesStation, pauses, mixedAt };
  findings.push(...programFindings(planned));
  return { result: planned, findings: distinct(findings) };
}

function resultOf(p: PlannedRamp, taken: readonly string[]): RampResult {
  const { plan, program, oneStage, tolerance } = p;
  const { by, fixed, aim, shots, end } = plan;
  const settings = settingsOf(plan, program.stages);
  const errors = programErrors(p);
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
    mixed_at_min: p.mixedAt === null ? null : p.mixedAt / 60,
    room_C:
      p.mixedAt === null
        ? null
        : ([shots[0]!, shots.at(-1)!].map(({ point }) => point.temperature - 273.15) as [number, number]),
    models: shots[0]!.point.models,
    defaults: [...shots[0]!.point.defaults, ...taken],
  };
}

/** volume/aim − 1 [-] of every shot of the program. */
export function programErrors({ plan, program }: PlannedRamp): number[] {
  const settings = settingsOf(plan, program.stages);
  return plan.shots.map((shot, i) => shot.error(settings[i]!));
}

function settingsOf(plan: RampPlan, stages: readonly ProgramStage[]): number[] {
  return plan.shots.map(({ shot }) => programSetting(stages, shot, plan.pressesPerShot));
}

function settingKeys(by: RampBy, fixed: number, { exact, program }: { exact: number; program: number }) {
  return by === 'dwell'
    ? { dwell_s: exact, program_dwell_s: program, pressure_kPa: fixed / 1e3, program_pressure_kPa: fixed / 1e3 }
    : { dwell_s: fixed, program_dwell_s: fixed, pressure_kPa: exact / 1e3, program_pressure_kPa: program / 1e3 };
}

function stageKeys(by: RampBy, stage: ProgramStage): StageKeys {
  const { fromShot, first, add, every } = stage;
  if (by === 'dwell') return dwellStageKeys(stage);
  return { from_shot: fromShot, first_pressure_kPa: first / 1e3, add_kPa: add / 1e3, every };
}

/** A stage of dwell as keys of a result. */
export function dwellStageKeys({ fromShot, first, add, every }: ProgramStage): DwellStageKeys {
  return { from_shot: fromShot, first_dwell_s: first, add_s: add, every };
}

export function worstOf(errors: readonly number[]): number {
  return errors.reduce((worst, error) => Math.max(worst, Math.abs(error)), 0);
}

/** Shots within a tolerance; null without one. */
export function goodShots(errors: readonly number[], tolerance: number | null): number | null {
  return tolerance === null ? null : errors.filter(error => atMost(Math.abs(error), tolerance)).length;
}
