import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { cavityBook } from '../cavity/cavity-book.ts';
import { type OperatingPoint, operatingPoint, type Setting } from '../delivery/operating-point.ts';
import { type SettingInForce, settingInForce } from '../setpoint/program-in-force.ts';
import { firstOrderSpread, judged } from './first-order-spread.ts';
import { type MonteCarlo, monteCarloSpread, sampledJudged } from './monte-carlo-spread.ts';
import { spreadAgreement } from './spread-agreement.ts';
import {
  type FirstOrderKeys,
  firstOrderKeys,
  inputKeys,
  type MonteCarloKeys,
  monteCarloKeys,
  type SpreadInputKeys,
} from './spread-keys.ts';
import { isTrimmed, SPREAD_MEASURES } from './spread-measures.ts';
import { type SpreadProblem, spreadProblem } from './spread-problem.ts';
import { type BothAgreements, spreadVerdicts } from './spread-verdicts.ts';

export interface SpreadOptions {
  /** Default: see `SPREAD_DEFAULTS`. */ readonly samples?: number;
  readonly seed?: number;
  /** Told the share done from time to time. */ readonly progress?: (share: number) => void;
}

/**
 * Samples by how costly one is, so that a run takes some seconds: the closed product; other models; a Cross or
 * Carreau–Yasuda curve that is another in every sample; air that fills a volume or lags, with a resin that is not Newtonian.
 */
export const SPREAD_DEFAULTS = {
  samples: { product: 200_000, general: 15_000, curve: 3_000, air: 1_000 },
  seed: 1,
  fewest: 100,
};

export interface SpreadResult {
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  /** Where the two come from. */
  readonly setting: SettingInForce['from'];
  readonly aim_uL: number | null;
  readonly window_uL: readonly [number, number] | null;
  readonly first_order: FirstOrderKeys & { readonly inputs: readonly SpreadInputKeys[] };
  readonly monte_carlo: MonteCarloKeys & { /** How a sample is worked out. */ readonly way: SpreadProblem['way'] };
  readonly agreement: BothAgreements;
  /** The spread once `release` has trimmed the dwell to the aim; null where nothing is constant for a syringe. */
  readonly after_trim: AfterTrim | null;
  /** What would help, most first: against the spread of shot less aim (of the shot where there is no window). */
  readonly measures: readonly SpreadMeasureKeys[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface AfterTrim {
  readonly dwell_s: number;
  /** The inputs that the trim takes out. */
  readonly trimmed: readonly string[];
  readonly first_order: FirstOrderKeys;
  readonly monte_carlo: MonteCarloKeys;
}

export interface SpreadMeasureKeys {
  readonly action: string;
  readonly paths: readonly string[];
  /** Of shot less aim. */
  readonly standard_deviation_uL: number;
  /** Of its variance. */
  readonly share_removed_pct: number;
  readonly outside_pct: number | null;
  readonly cpk: number | null;
}

/**
 * How sure the shot of a recipe is, from every tolerance in it: to first order with sensitivities and shares, and by Monte
 * Carlo; beside it, as `margin`, the shot less what its own connector needs, with the share of connectors whose reach is
 * outside its window; before and after trim, and what would help most.
 */
export function spread(recipe: Recipe, options: SpreadOptions = {}): Outcome<SpreadResult> {
  const at = operatingPoint(recipe, {}, 'the spread');
  const chosen = settingInForce(recipe);
  const findings = [...at.findings, ...chosen.findings, ...cavityFindings(recipe)];
  if (at.result === null || chosen.result === null) return { result: null, findings: distinct(findings) };
  const { result: problem, findings: more } = spreadProblem(recipe, chosen.result);
  findings.push(...more);
  if (problem !== null && !(problem.nominal.shot > 0)) findings.push(noShot(at.result, chosen.result));
  if (problem === null || !(problem.nominal.shot > 0)) return { result: null, findings: distinct(findings) };
  const work = { recipe, problem, point: at.result, setting: chosen.result, ...runOptions(recipe, problem, options) };
  const result = resultOf(work, findings);
  return { result, findings: distinct(findings) };
}

/** What keeps the window from being known; a recipe without a connector needs no word. */
function cavityFindings(recipe: Recipe): Finding[] {
  if (recipe.connector === undefined) return [];
  return cavityBook(recipe).findings.filter(({ code }) => code !== 'block-missing' && code !== 'cavity-incomplete');
}

function noShot(point: OperatingPoint, { pressure }: Setting): Finding {
  const message = `nothing leaves the needle at ${pressure / 1e3} kPa: the resin rests up to ${inWords(point.restPressure, 'kPa')}`;
  return deliveryFinding('resin-does-not-flow', 'settings.pressure', message);
}

interface Work {
  readonly recipe: Recipe;
  readonly problem: SpreadProblem;
  readonly point: OperatingPoint;
  readonly setting: SettingInForce;
  readonly samples: number;
  readonly seed: number;
  readonly progress: ((share: number) => void) | undefined;
}

function runOptions(recipe: Recipe, problem: SpreadProblem, options: SpreadOptions) {
  const { samples, seed } = SPREAD_DEFAULTS;
  const usual = samples[costOf(recipe, problem)];
  return { samples: options.samples ?? usual, seed: options.seed ?? seed, progress: options.progress };
}

function costOf({ resin, station }: Recipe, { way, inputs }: SpreadProblem): keyof typeof SPREAD_DEFAULTS.samples {
  if (way === 'product') return way;
  const model = resin?.rheology?.model;
  if (model !== 'newtonian' && station !== undefined && station.air.model !== 'ideal') return 'air';
  const bent = model === 'cross' || model === 'carreau-yasuda';
  return bent && inputs.some(({ paths }) => paths.some(path => path.startsWith('resin.rheology')))
    ? 'curve'
    : 'general';
}

/** Samples of a comparison over those of the run itself. */
const COMPARISON_SHARE = 0.25;

function resultOf(work: Work, findings: Finding[]): SpreadResult | null {
  const { problem, point, setting, seed } = work;
  const first = firstOrderSpread(problem);
  const { contributions } = judged(first);
  const measures = SPREAD_MEASURES.flatMap(({ action, left }) => {
    const scale = Float64Array.from(problem.inputs, left);
    const paths = problem.inputs.flatMap((input, i) =>
      scale[i] !== 1 && contributions[i]! > 0 ? [input.paths[0]!] : [],
    );
    return paths.length === 0 ? [] : [{ action, scale, paths }];
  });
  const run = runner(work, 1 + 1 + COMPARISON_SHARE * (1 + measures.length));
  const monteCarlo = run(problem, 1);
  if (monteCarlo === null) {
    findings.push(hardlyPossible(problem));
    return null;
  }
  const keys = firstOrderKeys(problem, first);
  const monteCarloResult = { ...monteCarloKeys(problem, monteCarlo, seed), way: problem.way };
  const agreement = agreementOf(keys, monteCarloResult);
  const inputs = inputKeys(problem, first);
  findings.push(...spreadVerdicts(problem, { agreement, inputs, monteCarlo: monteCarloResult, unsure: first.unsure }));
  const { window } = problem.nominal;
  return {
    pressure_kPa: setting.pressure / 1e3,
    dwell_s: setting.dwell,
    setting: setting.from,
    aim_uL: window === null ? null : window.aim * 1e9,
    window_uL: window === null ? null : [window.min * 1e9, window.max * 1e9],
    first_order: { ...keys, inputs },
    monte_carlo: monteCarloResult,
    agreement,
    after_trim: afterTrim(work, run),
    measures: measureList(work, run, monteCarlo, measures),
    models: point.models,
    defaults: [...point.defaults, ...defaultsUsed(work)],
  };
}

/** Of the shot and of shot less aim, each by its own intervals. */
function agreementOf(first: FirstOrderKeys, run: MonteCarloKeys): BothAgreements {
  const shared = { samples: run.samples, scale_uL: first.mean_uL };
  const both = first.margin === null || run.margin === null ? null : { first: first.margin, run: run.margin };
  return {
    ...spreadAgreement({ first, run, ...shared }),
    margin: both === null ? null : spreadAgreement({ ...both, ...shared }),
  };
}

type Runner = (problem: SpreadProblem, share: number, scale?: Float64Array) => MonteCarlo | null;

/** Runs of a share of the samples, with one count of what is done over all of them. */
function runner({ samples, seed, progress }: Work, total: number): Runner {
  let done = 0;
  return (problem, share, scale) => {
    const before = done;
    done += share;
    return monteCarloSpread(problem, {
      samples: Math.max(Math.min(samples, SPREAD_DEFAULTS.fewest), Math.round(samples * share)),
      seed,
      ...(scale && { scale }),
      ...(progress && { progress: part => progress(Math.min(1, (before + share * part) / total)) }),
    });
  };
}

/** With the dwell that a trim to the aim gives, on the station's resolution, and without what the trim takes out. */
function afterTrim({ problem, point, setting, recipe, seed }: Work, run: Runner): AfterTrim | null {
  const trimmed = problem.inputs.filter(input => isTrimmed(input) && input.moves);
  if (trimmed.length === 0) return null;
  const aim = problem.nominal.window?.aim ?? problem.nominal.shot;
  const exact = aim > 0 ? point.dwellFor({ pressure: setting.pressure, volume: aim }) : null;
  const step = recipe.station?.dwell?.step.value ?? 0;
  const rounded = exact === null || step <= 0 ? exact : Number((Math.round(exact / step) * step).toPrecision(12));
  const dwell = rounded === null || rounded <= 0 ? setting.dwell : rounded;
  const there = problem.withDwell(dwell);
  const scale = Float64Array.from(problem.inputs, input => (isTrimmed(input) ? 0 : 1));
  const made = run(there, 1, scale);
  if (made === null) return null;
  return {
    dwell_s: dwell,
    trimmed: trimmed.map(({ paths }) => paths[0]!),
    first_order: firstOrderKeys(there, firstOrderSpread(there, { scale })),
    monte_carlo: monteCarloKeys(there, made, seed),
  };
}

interface ScaledMeasure {
  readonly action: string;
  readonly paths: readonly string[];
  readonly scale: Float64Array;
}

/** Each measure against the recipe as it is with the same draws, so that what does nothing shows as nothing. */
function measureList(
  { problem, seed }: Work,
  run: Runner,
  whole: MonteCarlo,
  measures: readonly ScaledMeasure[],
): SpreadMeasureKeys[] {
  const before = measures.length === 0 ? null : run(problem, COMPARISON_SHARE);
  if (before === null) return [];
  const keys = measures.flatMap(({ action, paths, scale }) => {
    const made = run(problem, COMPARISON_SHARE, scale);
    if (made === null) return [];
    const left = sampledJudged(made).standardDeviation / sampledJudged(before).standardDeviation;
    const { outside_pct, cpk } = monteCarloKeys(problem, made, seed);
    const standard_deviation_uL = sampledJudged(whole).standardDeviation * left * 1e9;
    return [{ action, paths, standard_deviation_uL, share_removed_pct: (1 - left ** 2) * 100, outside_pct, cpk }];
  });
  return keys.sort((a, b) => a.standard_deviation_uL - b.standard_deviation_uL);
}

function defaultsUsed({ samples, seed }: Work): string[] {
  return [`samples: ${samples}`, `seed: ${seed}`];
}

function hardlyPossible({ inputs }: SpreadProblem): Finding {
  const widest = inputs
    .filter(({ positive }) => positive)
    .sort((a, b) => b.uncertainty / b.value - a.uncertainty / a.value)[0];
  const path = widest?.paths[0] ?? null;
  return spreadFinding(
    'spread-sample-impossible',
    path,
    `fewer than one draw in twenty is possible; the widest tolerance is that of ${path}`,
  );
}
