import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inMinutes, inWords, shortened } from '../../diagnostics/number-words.ts';
import { atLeast, atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { dispenseAim } from '../cavity/dispense-aim.ts';
import { givenSetting } from '../delivery/given-setting.ts';
import type { Conditions, Setting } from '../delivery/operating-point.ts';
import { type Judged, judge, type ReleaseDecision, TRIM_LIMIT } from './release-decision.ts';
import { type Evidence, evidenceOf, readingsToSettle } from './release-evidence.ts';
import { type ReadVolumes, type ReleaseReadings, readVolumes } from './release-readings.ts';
import { type TrimModel, trimModel } from './release-trim.ts';

export interface ReleaseOptions extends ReleaseReadings, Conditions {
  /** The setting at which it was checked: default that of `settings` [Pa], [s]. */
  readonly pressure?: number;
  readonly dwell?: number;
  /** Greatest relative correction that a trim may make [-]; default {@link TRIM_LIMIT}. */
  readonly trimLimit?: number;
}

export interface ReleaseResult {
  readonly mean_uL: number;
  /** 95 %. */
  readonly interval_uL: readonly [number, number];
  readonly decision: ReleaseDecision;
  /** Null unless the decision is to use with trim. */
  readonly trim: {
    readonly dwell_s: number;
    /** New over old dwell. */
    readonly factor: number;
    readonly change_s: number;
    readonly mean_uL: number;
  } | null;
  readonly reasons: readonly string[];
  /** Neither shown to be good nor shown to be bad. */
  readonly undecided: boolean;
  /** Readings like these that would settle it; null where it is settled, or where none would. */
  readonly more_readings: number | null;
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
    readonly degrees_of_freedom: number | null;
    readonly coverage_factor: number;
  };
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  readonly age_min: number | null;
  readonly temperature_C: number | null;
  /** What the recipe predicts; null without a flow model. */
  readonly predicted_uL: number | null;
  /** Predicted over measured: how much thicker than the recipe says the resin seems to be. */
  readonly implied_viscosity_factor: number | null;
  readonly trim_limit_pct: number;
  /** File of the check log; null where none was named. */
  readonly log: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * Whether a fresh syringe may be used: the mean shot of its dots or weighings with a 95 % interval, against the backfill window and
 * the aim; the rule is at `judge`. Needs connector, needle, `resin` as the readings ask, and a setting.
 */
export function release(recipe: Recipe, options: ReleaseOptions): Outcome<ReleaseResult> {
  const read = readVolumes(recipe, options);
  const aim = dispenseAim(recipe, 'a release');
  const setting = givenSetting(recipe, options, 'a release');
  const findings = [...read.findings, ...aim.findings, ...setting.findings];
  const { min, max } = aim.result?.book.backfill ?? { min: null, max: null };
  if (read.result !== null && aim.result !== null) findings.push(...slipFindings(read.result, aim.result.aim));
  if (findings.some(f => f.code === 'release-reading')) return { result: null, findings: distinct(findings) };
  if (read.result === null || aim.result === null || setting.result === null || min === null || max === null) {
    return { result: null, findings: distinct(findings) };
  }
  const model = trimModel(recipe, setting.result, options);
  findings.push(...model.findings, ...conditionFindings(options), ...oldFindings(recipe, model.result, options));
  if (model.result === null) return { result: null, findings: distinct(findings) };
  const evidence = evidenceOf(read.result, model.result.shotScatter / Math.sqrt(read.result.shots));
  const trimLimit = options.trimLimit ?? TRIM_LIMIT;
  const target = { window: { min, max }, aim: aim.result.aim, tolerance: recipe.process?.tolerance?.value ?? null };
  const judged = judge({
    ...target,
    mean: evidence.mean,
    halfWidth: evidence.halfWidth,
    trimLimit,
    dwellEnds: dwellEnds(recipe),
    trim: model.result.trim({ mean: evidence.mean, aim: aim.result.aim }),
  });
  const more = judged.undecided ? readingsToSettle(evidence, { mean: judged.shown, min, max }) : null;
  findings.push(...evidenceFindings(evidence, judged, more), ...trimFindings(recipe, judged));
  const parts: Parts = { read: read.result, evidence, judged, more, model: model.result, setting: setting.result };
  return { result: resultOf(parts, { ...target, trimLimit }), findings: distinct(findings) };
}

/** A shot this many times the aim, or this part of it, is a slip of unit or count and no syringe. */
const SLIP = 20;

function slipFindings(read: ReadVolumes, aim: number): Finding[] {
  return read.volumes.flatMap((volume, i) => {
    if (volume < aim * SLIP && volume > aim / SLIP) return [];
    const what = read.kind === 'dots' ? 'dot' : 'weighing';
    const message = `${what} ${i + 1} makes a shot of ${inWords(volume, 'µL')}, the aim is ${inWords(aim, 'µL')}`;
    return [floorFinding('release-reading', null, message, 'check the unit, and the number of shots (`--shots`)')];
  });
}

function dwellEnds({ station }: Recipe): { min: number; max: number } {
  return { min: station?.dwell?.min.value ?? 0, max: station?.dwell?.max.value ?? Number.POSITIVE_INFINITY };
}

function conditionFindings({ age, temperature }: ReleaseOptions): Finding[] {
  const missing = [...(age === undefined ? ['age'] : []), ...(temperature === undefined ? ['temperature'] : [])];
  if (missing.length === 0) return [];
  const message = `${missing.join(' and ')} of the check ${missing.length > 1 ? 'are' : 'is'} not given; the recipe's ${missing.length > 1 ? 'are' : 'is'} taken`;
  return [floorFinding('release-conditions', null, message)];
}

/** Limits are inclusive, as those of a ramp. */
function oldFindings({ process }: Recipe, model: TrimModel | null, { age }: ReleaseOptions): Finding[] {
  const { age: lastAge, viscosity_factor: most } = process?.stop_at ?? {};
  if (age === undefined) return [];
  const factor = model?.viscosityFactor ?? 1;
  if (lastAge !== undefined && !atMost(age, lastAge.value)) {
    const message = `the resin is ${inMinutes(age)} old, work stops at ${inMinutes(lastAge.value)}`;
    return [floorFinding('release-too-old', lastAge.path, message)];
  }
  if (most === undefined || atMost(factor, most.value)) return [];
  const message = `at ${inMinutes(age)} the resin is ${shortened(factor, 3)} times as thick as when mixed, work stops at ${most.value}`;
  return [floorFinding('release-too-old', most.path, message)];
}

function evidenceFindings(evidence: Evidence, judged: Judged, more: number | null): Finding[] {
  const findings: Finding[] = [];
  if (evidence.count === 1) {
    const message = 'there is one reading, so its scatter is what the recipe predicts from shot to shot';
    findings.push(floorFinding('release-one-reading', null, message));
  }
  if (judged.undecided) {
    const message =
      more === null
        ? 'the readings do not decide, and more of the same kind would not: what they share is too uncertain'
        : `the readings do not decide; ${more} more like these would`;
    const help =
      more === null ? 'put more shots on one dot, calibrate the dot with `resin.dot.calibration`, or weigh' : undefined;
    findings.push(floorFinding('release-undecided', null, message, help));
  }
  return findings;
}

function trimFindings({ process }: Recipe, { trim }: Judged): Finding[] {
  const [low, high] = process?.practical_dwell ?? [];
  if (trim === null || low === undefined || high === undefined) return [];
  if (atLeast(trim.dwell, low.value) && atMost(trim.dwell, high.value)) return [];
  const message = `the trimmed dwell is ${trim.dwell} s, practical are ${low.value} s to ${high.value} s`;
  return [floorFinding('release-trim-impractical', low.path, message)];
}

interface Parts {
  readonly read: ReadVolumes;
  readonly evidence: Evidence;
  readonly judged: Judged;
  readonly more: number | null;
  readonly model: TrimModel;
  readonly setting: Setting;
}

function resultOf(
  { read, evidence, judged, more, model, setting }: Parts,
  p: { window: { min: number; max: number }; aim: number; tolerance: number | null; trimLimit: number },
): ReleaseResult {
  const { mean, halfWidth } = evidence;
  const microlitres = (volume: number) => volume * 1e9;
  const [unit, scale] = read.kind === 'dots' ? (['mm', 1e3] as const) : (['mg', 1e6] as const);
  const { trim } = judged;
  return {
    mean_uL: microlitres(mean),
    interval_uL: [microlitres(mean - halfWidth), microlitres(mean + halfWidth)],
    decision: judged.decision,
    trim:
      trim === null
        ? null
        : {
            dwell_s: trim.dwell,
            factor: trim.dwell / trim.before,
            change_s: Number((trim.dwell - trim.before).toPrecision(12)),
            mean_uL: microlitres(trim.delivered),
          },
    reasons: judged.reasons,
    undecided: judged.undecided,
    more_readings: more,
    readings: read.readings.map((reading, i) => ({
      reading: reading * scale,
      unit,
      volume_uL: microlitres(read.volumes[i]!),
    })),
    shots_per_reading: read.shots,
    window_uL: [microlitres(p.window.min), microlitres(p.window.max)],
    aim_uL: microlitres(p.aim),
    tolerance_pct: p.tolerance === null ? null : p.tolerance * 100,
    error_to_aim_pct: (mean / p.aim - 1) * 100,
    uncertainty: {
      scatter_pct: evidence.scatter === null ? null : (evidence.scatter / mean) * 100,
      shared: evidence.shared.map(({ cause, relative }) => ({ cause, relative_pct: relative * 100 })),
      combined_pct: (evidence.uncertainty / mean) * 100,
      degrees_of_freedom: Number.isFinite(evidence.degreesOfFreedom) ? evidence.degreesOfFreedom : null,
      coverage_factor: evidence.coverageFactor,
    },
    pressure_kPa: setting.pressure / 1e3,
    dwell_s: setting.dwell,
    age_min: model.age === null ? null : model.age / 60,
    temperature_C: model.temperature === null ? null : model.temperature - 273.15,
    predicted_uL: model.predicted === null ? null : microlitres(model.predicted),
    implied_viscosity_factor: model.predicted === null ? null : model.predicted / mean,
    trim_limit_pct: p.trimLimit * 100,
    log: null,
    models: [...read.models, ...model.models],
    defaults: [...read.defaults, ...alikeNote(evidence), ...model.defaults],
  };
}

/** Readings alike to their last digit have no scatter because they are rounded, not because there is none. */
function alikeNote({ scatter, count }: Evidence): string[] {
  return scatter === 0 ? [`scatter: none, since all ${count} readings are alike to their last digit`] : [];
}
