import { qualifyFinding } from '../../diagnostics/codes/qualify-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { counted, inPercent, shortened } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { sampleSize, shownReliability } from '../../stats/sample-size.ts';
import type { FitResult } from '../fit/fit.ts';
import { needleName } from '../needles/needle-choice.ts';
import { rehearse } from '../rehearse/rehearse.ts';
import type { GaugeRrResult } from './gauge-rr.ts';

/** A first-piece check of the log. */
export interface FirstPiece {
  readonly line: number;
  readonly time: string;
  readonly syringe: string;
  readonly lot: string;
  readonly operator: string;
  readonly mean: number; // [m³]
  readonly low: number | null; // [m³]
  readonly high: number | null; // [m³]
  readonly decision: string;
}

export interface QualifyInput {
  /** Of the inputs of the recipe [hex]. */
  readonly digest: string;
  readonly study: GaugeRrResult | null;
  readonly trials: FitResult | null;
  /** Of this recipe by its digest; null without a log. */
  readonly checks: readonly FirstPiece[] | null;
  /** What `check` finds. */
  readonly check: { readonly errors: number; readonly warnings: number };
}

export interface QualifyOptions {
  /** [-]; default 0.95 each. */ readonly confidence?: number | undefined;
  readonly reliability?: number | undefined;
  /** Rejected first pieces that are allowed for; default none. */ readonly allowed?: number | undefined;
  /** Syringes of the rehearsal, and its seed; default as `rehearse`. */ readonly samples?: number | undefined;
  readonly seed?: number | undefined;
}

export interface SampleSizeKeys {
  readonly confidence_pct: number;
  readonly reliability_pct: number;
  readonly allowed: number;
  readonly pieces: number | null;
}

export interface QualifyResult {
  readonly digest: string;
  readonly resin: string | null;
  readonly needle: string | null;
  readonly pressure_kPa: number | null;
  readonly dwell_s: number | null;
  readonly ramp: readonly { readonly from_shot: number; readonly add_s: number; readonly every: number }[];
  readonly check: { readonly errors: number; readonly warnings: number };
  /** The first is the one asked for. */
  readonly sample_sizes: readonly SampleSizeKeys[];
  readonly gauge_study: {
    readonly parts: number;
    readonly operators: number;
    readonly repeats: number;
    readonly unit: string | null;
    readonly gauge_rr_sd: number;
    readonly study_pct: number | null;
    readonly tolerance_pct: number | null;
    readonly distinct_categories: number | null;
  } | null;
  readonly trials: {
    readonly rows: number;
    readonly residual_pct: number | null;
    readonly lack_of_fit_p: number | null;
    readonly parameters: readonly {
      readonly name: string;
      readonly estimate: number;
      readonly low: number | null;
      readonly high: number | null;
    }[];
  } | null;
  readonly rehearsal: {
    readonly syringes: number;
    readonly connectors: number;
    readonly outside_pct: number | null;
    readonly outside_interval_pct: readonly [number, number] | null;
    readonly cpk: number | null;
    readonly rejected_pct: number;
    readonly missed_pct: number;
    readonly seed: number;
  } | null;
  readonly first_pieces: {
    readonly checks: number;
    readonly rejected: number;
    /** What they show with the confidence asked for; null of none. */
    readonly shown_reliability_pct: number | null;
    readonly rows: readonly {
      readonly line: number;
      readonly time: string;
      readonly syringe: string;
      readonly lot: string;
      readonly operator: string;
      readonly mean_uL: number;
      readonly interval_uL: readonly [number, number] | null;
      readonly decision: string;
    }[];
  } | null;
  /** What is missing, in words; empty of a whole pack. */
  readonly open: readonly string[];
  /** Where the pack was written; null until the command has written it. */
  readonly file: string | null;
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** Reliabilities and allowed failures that are listed beside the one asked for. */
const LISTED = [0.9, 0.95, 0.99] as const;
const MOST_LISTED = 2;

/** A gauge uses more of the variation than this: too coarse to qualify with [%]; *common practice, no source*. */
const GAUGE_MOST = 30;
/** Below this a fit does not hold [-]. */
const LACK = 0.05;

/**
 * Everything that a qualification of a recipe rests on, gathered under its digest: the study of its gauge, what trials taught, the
 * line rehearsed, how many pieces a proof takes, and what first pieces showed. What is missing is said.
 */
export function qualify(recipe: Recipe, input: QualifyInput, options: QualifyOptions = {}): Outcome<QualifyResult> {
  const { confidence = 0.95, reliability = 0.95, allowed = 0, samples, seed } = options;
  const rehearsed = rehearse(recipe, {
    ...(samples !== undefined && { samples }),
    ...(seed !== undefined && { seed }),
  });
  const aim = { confidence, reliability, allowed };
  const { settings, needle, resin } = recipe;
  const firstPieces = input.checks === null ? null : piecesOf(input.checks, confidence);
  const pieces = sampleSize(aim);
  const result: QualifyResult = {
    digest: input.digest,
    resin: resin?.name ?? null,
    needle: needle === undefined ? null : needleName(needle),
    pressure_kPa: settings?.pressure === undefined ? null : settings.pressure.value / 1e3,
    dwell_s: settings?.dwell?.value ?? null,
    ramp: (settings?.ramp ?? []).map(({ from_shot, add, every }) => ({ from_shot, add_s: add.value, every })),
    check: input.check,
    sample_sizes: [sizeKeys(aim), ...listedSizes(aim)],
    gauge_study: input.study === null ? null : studyKeys(input.study),
    trials: input.trials === null ? null : trialKeys(input.trials),
    rehearsal: rehearsed.result === null ? null : rehearsalKeys(rehearsed.result),
    first_pieces: firstPieces,
    open: [],
    file: null,
    models: rehearsed.result?.models ?? [],
    defaults: rehearsed.result?.defaults ?? [],
  };
  const open = openPoints(result, { pieces, reliability });
  const findings: Finding[] = [...rehearsed.findings, ...open.map(what => qualifyFinding('qualify-open', null, what))];
  return { result: { ...result, open }, findings: distinct(findings) };
}

function sizeKeys({
  confidence,
  reliability,
  allowed,
}: {
  confidence: number;
  reliability: number;
  allowed: number;
}): SampleSizeKeys {
  return {
    confidence_pct: shortened(confidence * 100, 12),
    reliability_pct: shortened(reliability * 100, 12),
    allowed,
    pieces: sampleSize({ confidence, reliability, allowed }),
  };
}

function listedSizes(aim: { confidence: number; reliability: number; allowed: number }): SampleSizeKeys[] {
  return LISTED.flatMap(reliability =>
    Array.from({ length: MOST_LISTED + 1 }, (_, allowed) => ({ confidence: aim.confidence, reliability, allowed }))
      .filter(other => other.reliability !== aim.reliability || other.allowed !== aim.allowed)
      .map(sizeKeys),
  );
}

function studyKeys(study: GaugeRrResult): NonNullable<QualifyResult['gauge_study']> {
  return {
    ...{ parts: study.parts, operators: study.operators, repeats: study.repeats, unit: study.unit },
    gauge_rr_sd: study.gauge_rr_sd,
    study_pct: study.study_pct?.gauge_rr ?? null,
    tolerance_pct: study.tolerance_pct,
    distinct_categories: study.distinct_categories,
  };
}

function trialKeys(fit: FitResult): NonNullable<QualifyResult['trials']> {
  return {
    rows: fit.rows,
    residual_pct: fit.residual_sd === null ? null : fit.residual_sd * 100,
    lack_of_fit_p: fit.lack_of_fit_p,
    parameters: fit.parameters.map(({ name, estimate, low, high }) => ({ name, estimate, low, high })),
  };
}

function rehearsalKeys(r: NonNullable<ReturnType<typeof rehearse>['result']>): NonNullable<QualifyResult['rehearsal']> {
  const { syringes, connectors, outside_pct, outside_interval_pct, cpk, rejected_pct, missed_pct, seed } = r;
  return { syringes, connectors, outside_pct, outside_interval_pct, cpk, rejected_pct, missed_pct, seed };
}

function piecesOf(checks: readonly FirstPiece[], confidence: number): NonNullable<QualifyResult['first_pieces']> {
  const bad = checks.filter(({ decision }) => decision === 'reject').length;
  const shown = checks.length === 0 ? null : shownReliability({ bad, of: checks.length, confidence }) * 100;
  return {
    ...{ checks: checks.length, rejected: bad, shown_reliability_pct: shown },
    rows: checks.map(({ line, time, syringe, lot, operator, mean, low, high, decision }) => ({
      ...{ line, time, syringe, lot, operator, mean_uL: mean * 1e9 },
      interval_uL: low === null || high === null ? null : [low * 1e9, high * 1e9],
      decision,
    })),
  };
}

function openPoints(
  r: QualifyResult,
  { pieces, reliability }: { pieces: number | null; reliability: number },
): string[] {
  const { check, gauge_study: study, trials, rehearsal, first_pieces: first } = r;
  const shown = first?.shown_reliability_pct ?? null;
  const points: [boolean, string][] = [
    [check.errors > 0, `\`check\` finds ${counted(check.errors, 'error')} in the recipe`],
    [r.pressure_kPa === null || r.dwell_s === null, 'no pressure and dwell are released'],
    [study === null, 'there is no gauge study: name one with --gauge-study'],
    [
      study !== null && (study.study_pct ?? 0) > GAUGE_MOST,
      `the gauge makes ${shortened(study?.study_pct ?? 0, 3)} % of the study variation, more than ${GAUGE_MOST} %`,
    ],
    [trials === null, 'there are no trials: name them with --trials'],
    [
      trials?.lack_of_fit_p != null && trials.lack_of_fit_p < LACK,
      `the trials do not fit the models (lack of fit, p = ${shortened(trials?.lack_of_fit_p ?? 0, 2)})`,
    ],
    [rehearsal === null, 'the line cannot be rehearsed'],
    [first === null, 'there is no check log: name it with --log'],
    [
      first !== null && (shown === null || shown < reliability * 100 * (1 - 1e-12)),
      `first pieces show ${shown === null ? 'nothing yet' : inPercent(shortened(shown / 100, 3))}, ${inPercent(reliability)} is asked for: that takes ${pieces === null ? 'more than anybody checks' : counted(pieces, 'first piece')}`,
    ],
  ];
  return points.filter(([is]) => is).map(([, what]) => what);
}
