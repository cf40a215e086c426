import { atMost } from '../../numeric/limits.ts';
import type { RampEnd } from '../program/run-end.ts';
import { type DwellStageKeys, dwellStageKeys } from '../ramp/ramp.ts';
import { type Program, settingAt } from '../setpoint/program-in-force.ts';
import type { JudgedCheck } from './judge-syringe.ts';
import type { SyringeCheck } from './measured-syringe.ts';
import type { Reason, ReleaseDecision } from './release-decision.ts';
import { contentOf, type Evidence } from './release-evidence.ts';

export interface ReleaseResult {
  /** Of the program, at which the check stands. */
  readonly shot: number;
  readonly age_min: number;
  /** Null without a flow model. */
  readonly temperature_C: number | null;
  /** As they were set for the check. */
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  /** What the recipe gives for that setting, of one shot; null without a flow model. */
  readonly predicted_uL: number | null;
  /** Of one shot. */
  readonly mean_uL: number;
  /** 95 %. */
  readonly interval_uL: readonly [number, number];
  /** Lot factor over the recipe's at which the recipe gives what was measured; null without a flow model. */
  readonly thickness: {
    readonly estimate: number;
    readonly low: number;
    /** Null: no flow at all is not ruled out. */
    readonly high: number | null;
  } | null;
  /** By this check and those before of the same lot or needle; null where there are none. The decision then rests on it. */
  readonly filtered: FilteredKeys | null;
  /** Of the readings, beside what the recipe predicts, and the chance of as much; null for one reading. */
  readonly scatter: { readonly sd_rel: number | null; readonly predicted_rel: number; readonly p: number | null };
  /** Holds 95 % of the shots with 95 % confidence; null for one reading. No part of the decision. */
  readonly content_uL: readonly [number, number] | null;
  readonly decision: ReleaseDecision;
  readonly reasons: readonly Reason[];
  /** Null unless the decision is to use with trim. */
  readonly trim: TrimKeys | null;
  /** Neither shown to be good nor shown to be bad. */
  readonly undecided: boolean;
  /** Readings like these that would settle it; null where it is settled, or where none would. */
  readonly more_readings: number | null;
  /** To be run from this shot on, trimmed or not; null for a syringe that is not used. */
  readonly program: { readonly stages: readonly DwellStageKeys[] } | null;
  readonly readings: readonly { readonly reading: number; readonly unit: 'mm' | 'mg'; readonly volume_uL: number }[];
  readonly shots_per_reading: number;
  readonly window_uL: readonly [number, number];
  readonly aim_uL: number;
  readonly tolerance_pct: number | null;
  readonly error_to_aim_pct: number;
  readonly uncertainty: {
    /** Sample standard deviation (n − 1) of the readings over the mean; null for one reading. */
    readonly scatter_pct: number | null;
    /** Standard uncertainties that all readings share, over the mean. */
    readonly shared: readonly { readonly cause: string; readonly relative_pct: number }[];
    readonly combined_pct: number;
    /** Null: infinite. */
    /** Of the scatter; null for one reading. */
    readonly degrees_of_freedom: number | null;
    readonly coverage_factor: number;
  };
  readonly lot_factor: number;
  readonly trim_limit_pct: number;
  /** File of the check log; null where none was named. */
  readonly log: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface FilteredKeys {
  readonly estimate: number;
  /** 95 %. */
  readonly low: number;
  readonly high: number;
  /** Share of this check in the estimate. */
  readonly gain: number;
  /** Checks before that it rests on. */
  readonly checks: number;
}

export interface TrimKeys {
  /** Exact trimmed dwell over that of the program, at the check's shot. */
  readonly factor: number;
  /** Of the check's shot, as it is to be set. */
  readonly dwell_s: number;
  /** Over the dwell of the program. */
  readonly change_s: number;
  readonly program: { readonly stages: readonly DwellStageKeys[] };
  readonly worst_error_pct: number;
  /** Shots left within the tolerance; null without one. */
  readonly good_shots: number | null;
  /** Null where no run can be planned. */
  readonly end: { readonly reason: RampEnd; readonly shot: number; readonly age_min: number } | null;
}

const uL = (volume: number) => volume * 1e9;

/** A judged check as keys with units. */
export function releaseKeys(check: SyringeCheck, judged: JudgedCheck): ReleaseResult {
  const { evidence, target, read, from, setting, point, scatter } = check;
  const { mean, halfWidth } = evidence;
  const content = contentOf(evidence, read.shots);
  return {
    ...{ shot: from.shot, age_min: from.age / 60 },
    temperature_C: point === null ? null : point.temperature - 273.15,
    ...{ pressure_kPa: setting.pressure / 1e3, dwell_s: setting.dwell },
    predicted_uL:
      check.model.flows && point !== null ? uL(check.model.deliver(check.expected, check.moment, setting)) : null,
    mean_uL: uL(mean),
    interval_uL: [uL(mean - halfWidth), uL(mean + halfWidth)],
    thickness: thicknessKeys(check, judged),
    filtered: filteredKeys(judged),
    scatter: { sd_rel: scatter.observed, predicted_rel: scatter.predicted, p: scatter.p },
    content_uL: content === null ? null : [uL(content[0]), uL(content[1])],
    ...{ decision: judged.decision, reasons: judged.reasons },
    trim: trimKeys(check, judged),
    ...{ undecided: judged.undecided, more_readings: judged.moreReadings() },
    program: judged.decision === 'reject' ? null : programKeys(judged.trim?.program ?? check.program),
    ...readingKeys(check),
    window_uL: [uL(target.window.min), uL(target.window.max)],
    aim_uL: uL(target.aim),
    tolerance_pct: target.tolerance === null ? null : target.tolerance * 100,
    error_to_aim_pct: (mean / target.aim - 1) * 100,
    uncertainty: uncertaintyKeys(evidence),
    ...{ lot_factor: check.lotFactor, trim_limit_pct: judged.trimLimit * 100, log: null },
    models: [...read.models, ...(check.model.flows ? (point?.models ?? []) : ['shot in proportion to the dwell'])],
    defaults: [...read.defaults, ...scatterNotes(check), ...(point?.defaults ?? [])],
  };
}

function thicknessKeys({ model }: SyringeCheck, { thickness }: JudgedCheck): ReleaseResult['thickness'] {
  if (!model.flows || thickness === null) return null;
  const { estimate, low, high } = thickness;
  return { estimate, low, high: Number.isFinite(high) ? high : null };
}

function filteredKeys({ filtered }: JudgedCheck): FilteredKeys | null {
  if (filtered === null) return null;
  const { estimate, low, high, gain, checks } = filtered;
  return { estimate, low, high, gain, checks };
}

function trimKeys({ program, from, target }: SyringeCheck, { trim }: JudgedCheck): TrimKeys | null {
  if (trim === null) return null;
  const { dwell } = settingAt(trim.program, from.shot);
  const errors = trim.run.estimate.map(volume => Math.abs(volume / target.aim - 1));
  const { tolerance } = target;
  return {
    factor: trim.factor,
    dwell_s: dwell,
    change_s: Number((dwell - settingAt(program, from.shot).dwell).toPrecision(12)),
    program: programKeys(trim.program),
    worst_error_pct: Math.max(...errors) * 100,
    good_shots: tolerance === null ? null : errors.filter(error => atMost(error, tolerance)).length,
    end: trim.end === null ? null : { reason: trim.end.reason, shot: trim.end.shot, age_min: trim.end.age / 60 },
  };
}

function programKeys({ stages }: Program): { stages: DwellStageKeys[] } {
  return { stages: stages.map(dwellStageKeys) };
}

function readingKeys({ read }: SyringeCheck): Pick<ReleaseResult, 'readings' | 'shots_per_reading'> {
  const [unit, scale] = read.kind === 'dots' ? (['mm', 1e3] as const) : (['mg', 1e6] as const);
  return {
    readings: read.readings.map((reading, i) => ({ reading: reading * scale, unit, volume_uL: uL(read.volumes[i]!) })),
    shots_per_reading: read.shots,
  };
}

function uncertaintyKeys(evidence: Evidence): ReleaseResult['uncertainty'] {
  const { mean, scatter, shared, uncertainty, count, halfWidth } = evidence;
  return {
    scatter_pct: scatter === null ? null : (scatter / mean) * 100,
    shared: shared.map(({ cause, relative }) => ({ cause, relative_pct: relative * 100 })),
    combined_pct: (uncertainty / mean) * 100,
    degrees_of_freedom: scatter === null ? null : count - 1,
    coverage_factor: halfWidth / uncertainty,
  };
}

function scatterNotes({ evidence, spread }: SyringeCheck): string[] {
  return [
    ...(spread.shot === null ? ['scatter from shot to shot: 2 %, the recipe says nothing of its station'] : []),
    // Readings alike to their last digit have no scatter because they are rounded, not because there is none.
    ...(evidence.scatter === 0
      ? [`scatter: none, since all ${evidence.count} readings are alike to their last digit`]
      : []),
  ];
}
