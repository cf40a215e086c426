import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import { spreadFinding } from '../../diagnostics/codes/spread-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inPercent, inWords } from '../../diagnostics/number-words.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { cavityBook } from '../cavity/cavity-book.ts';
import { type OperatingPoint, operatingPoint, prepareDelivery, type Setting } from '../delivery/operating-point.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import { type SettingInForce, settingInForce } from '../setpoint/program-in-force.ts';
import { compareMeasures } from '../spread/compare-measures.ts';
import { firstOrderSpread, judged } from '../spread/first-order-spread.ts';
import { type MonteCarlo, monteCarloSpread, sampledJudged } from '../spread/monte-carlo-spread.ts';
import {
  type AgreementKeys,
  agreementKeys,
  type FirstOrderKeys,
  firstOrderKeys,
  inputKeys,
  type MonteCarloKeys,
  monteCarloKeys,
  type SpreadInputKeys,
} from '../spread/spread-keys.ts';
import { isTrimmed, SPREAD_MEASURES, TRIM_ACTION } from '../spread/spread-measures.ts';
import { type SpreadProblem, spreadProblem } from '../spread/spread-problem.ts';
import { bothAgreements, spreadVerdicts } from '../spread/spread-verdicts.ts';
import { type AfterTrim, afterTrim } from './after-trim.ts';

export type { AfterTrim };

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
  /** Of the shot, and beside it of shot less aim; null without a window. */
  readonly agreement: AgreementKeys & { readonly margin: AgreementKeys | null };
  /** The spread once `release` has checked and trimmed; null where nothing is constant for a syringe. */
  readonly after_trim: AfterTrim | null;
  /** What would help, most first: against the spread of shot less aim (of the shot where there is no window). */
  readonly measures: readonly SpreadMeasureKeys[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

export interface SpreadMeasureKeys {
  readonly action: string;
  readonly paths: readonly string[];
  /** Of shot less aim. */
  readonly standard_deviation_uL: number;
  /** Of its variance; zero where the difference is within its noise. */
  readonly share_removed_pct: number;
  /** Standard error of the share. */
  readonly share_removed_error_pct: number;
  /** The difference is more than twice its standard error; else the figures are those of the recipe as it is. */
  readonly told: boolean;
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
  const trims = problem.inputs.some(isTrimmed) ? 1 : 0;
  const run = runner(work, 1 + trims + COMPARISON_SHARE * (1 + measures.length));
  const monteCarlo = run.samples(problem, 1);
  if (monteCarlo === null) {
    findings.push(hardlyPossible(problem));
    return null;
  }
  const keys = firstOrderKeys(problem, first);
  const monteCarloResult = { ...monteCarloKeys(problem, monteCarlo, seed), way: problem.way };
  const ways = { first, run: monteCarlo };
  const agreement = bothAgreements(problem, ways);
  findings.push(...spreadVerdicts(problem, ways, agreement));
  findings.push(...emptiesFinding(work));
  const { window } = problem.nominal;
  const progress = run.part(trims);
  const trimmed = afterTrim({
    ...{ recipe: work.recipe, problem, point, setting, first, seed, syringes: syringesOf(work), progress },
    run: (there, scale) =>
      monteCarloSpread(there, { samples: run.count(1), seed, scale, ...(progress && { progress }) }),
  });
  return {
    pressure_kPa: setting.pressure / 1e3,
    dwell_s: setting.dwell,
    setting: setting.from,
    aim_uL: window === null ? null : window.aim * 1e9,
    window_uL: window === null ? null : [window.min * 1e9, window.max * 1e9],
    first_order: { ...keys, inputs: inputKeys(problem, first) },
    monte_carlo: monteCarloResult,
    agreement: {
      ...agreementKeys(agreement.shot),
      margin: agreement.margin === null ? null : agreementKeys(agreement.margin),
    },
    after_trim: trimmed,
    measures: measureList(work, run, { monteCarlo, measures, trimmed }),
    models: point.models,
    defaults: [
      ...point.defaults,
      ...takenByDefault(work.recipe, 'spread'),
      ...defaultsUsed(work),
      ...notCounted(work, trimmed),
    ],
  };
}

interface Runner {
  /** A run of a share of the samples. */
  readonly samples: (problem: SpreadProblem, share: number) => MonteCarlo | null;
  /** Tells how far a part of so much is, before the next part begins. */
  readonly part: (share: number) => ((done: number) => void) | undefined;
  readonly count: (share: number) => number;
}

/** Runs of a share of the samples, with one count of what is done over all of them. */
function runner({ samples, seed, progress }: Work, total: number): Runner {
  let done = 0;
  const part: Runner['part'] = share => {
    const before = done;
    done += share;
    return progress && (now => progress(Math.min(1, (before + share * now) / total)));
  };
  const count = (share: number) => Math.max(Math.min(samples, SPREAD_DEFAULTS.fewest), Math.round(samples * share));
  return {
    part,
    count,
    samples: (problem, share) => {
      const told = part(share);
      return monteCarloSpread(problem, { samples: count(share), seed, ...(told && { progress: told }) });
    },
  };
}

/** Connectors to a syringe, about: so many samples are worth one syringe. */
const SAMPLES_PER_SYRINGE = 100;
const SYRINGES = { fewest: 20, most: 20_000 };

function syringesOf({ samples }: Work): number {
  return Math.min(SYRINGES.most, Math.max(SYRINGES.fewest, Math.round(samples / SAMPLES_PER_SYRINGE)));
}

interface ScaledMeasure {
  readonly action: string;
  readonly paths: readonly string[];
  readonly scale: Float64Array;
}

interface Compared {
  readonly monteCarlo: MonteCarlo;
  readonly measures: readonly ScaledMeasure[];
  readonly trimmed: AfterTrim | null;
}

/**
 * Each measure against the recipe as it is with the same draws, so that what does nothing shows as nothing and what is within the noise
 * of the draws is not shown; the trim by `release` as it was rehearsed.
 */
function measureList(work: Work, run: Runner, { monteCarlo, measures, trimmed }: Compared): SpreadMeasureKeys[] {
  const { problem, seed } = work;
  if (measures.length === 0) return [];
  const told = run.part(COMPARISON_SHARE * (1 + measures.length));
  const options = { samples: run.count(COMPARISON_SHARE), seed, ...(told && { progress: told }) };
  const changes = compareMeasures(
    problem,
    measures.map(({ scale }) => scale),
    options,
  );
  if (changes === null) return [];
  const whole = monteCarloKeys(problem, monteCarlo, seed);
  const sd = sampledJudged(monteCarlo).standardDeviation * 1e9;
  const keys = measures.map(({ action, paths }, i): SpreadMeasureKeys => {
    const rehearsed = trimmed?.rehearsal ?? null;
    if (action === TRIM_ACTION && trimmed !== null && rehearsed !== null) {
      const { margin, outside_pct, cpk } = trimmed.monte_carlo;
      const left = margin!.standard_deviation_uL;
      // Syringes are the independent ones: the variance of a spread of k of them has a relative error of √(2/k).
      const error = (left / sd) ** 2 * Math.sqrt(2 / Math.max(1, rehearsed.syringes - 1)) * 100;
      const removed = (1 - (left / sd) ** 2) * 100;
      return {
        ...{ action, paths, standard_deviation_uL: left, share_removed_pct: removed },
        ...{ share_removed_error_pct: error, told: Math.abs(removed) > 2 * error, outside_pct, cpk },
      };
    }
    const { ratio, error, outside, cpk, told } = changes[i]!;
    const plain = { standard_deviation_uL: sd, share_removed_pct: 0, outside_pct: whole.outside_pct, cpk: whole.cpk };
    const changed = {
      standard_deviation_uL: sd * ratio,
      share_removed_pct: (1 - ratio ** 2) * 100,
      outside_pct:
        outside === null || whole.outside_pct === null ? null : Math.max(0, whole.outside_pct + 100 * outside),
      cpk: cpk === null || whole.cpk === null ? null : whole.cpk * cpk,
    };
    return { action, paths, ...(told ? changed : plain), share_removed_error_pct: error * 100, told };
  });
  return keys.sort((a, b) => a.standard_deviation_uL - b.standard_deviation_uL);
}

/** What a reader of the spread must know of slow air: the model's own bound, and the syringe that empties. */
function notCounted({ recipe, point, setting }: Work, trimmed: AfterTrim | null): string[] {
  const notes: string[] = [];
  const bound = point.bound(setting);
  const shot = point.deliver(setting).volume;
  if (bound !== null && shot > 0) {
    const most = bound.reduce((far, each) => (Math.abs(each - shot) > Math.abs(far - shot) ? each : far), shot);
    if (most !== shot) {
      notes.push(`station.air.exponent: air that exchanges no heat would give ${signed(most / shot - 1)}, not counted`);
    }
  }
  const empties = emptying({ recipe, point, setting });
  if (empties === null || empties === 0) return notes;
  const where = trimmed?.rehearsal === null || trimmed === null ? 'not counted' : 'counted after the trim alone';
  return [...notes, `a nearly empty syringe gives ${signed(empties)}, ${where}: the shot is that of a full one`];
}

/** Shot of a nearly empty syringe over that of a full one, less one [-]; null where the air does not follow its fill. */
function emptying({ recipe, point, setting }: Pick<Work, 'recipe' | 'point' | 'setting'>): number | null {
  const shot = point.deliver(setting).volume;
  const [, , last] = prepareDelivery(recipe, {}).result?.syringeEnds() ?? [];
  if (recipe.station?.air.model !== 'iso6358' || last === undefined || !(shot > 0)) return null;
  const empty = operatingPoint(recipe, { dispensed: last }).result?.deliver(setting).volume;
  return empty === undefined ? null : empty / shot - 1;
}

/** Share of the tolerance beyond which a change is worth a word, as `follow` has it; and where there is no tolerance [-]. */
const SHARE_OF_TOLERANCE = 1 / 4;
const PLAIN_SHARE = 0.025;

/** The spread before the trim is of one shot, and says nothing of the run that empties the syringe. */
function emptiesFinding(work: Work): Finding[] {
  const empties = emptying(work);
  const tolerance = work.recipe.process?.tolerance?.value;
  const worth = tolerance === undefined ? PLAIN_SHARE : tolerance * SHARE_OF_TOLERANCE;
  if (empties === null || Math.abs(empties) <= worth) return [];
  const message = `before the trim the shot is that of a full syringe: a nearly empty one gives ${signed(empties)} at this dwell, which is in none of its figures`;
  return [spreadFinding('spread-syringe-empties', 'station.syringe.fill', message)];
}

function signed(share: number): string {
  return `${inPercent(Math.abs(share))} ${share > 0 ? 'more' : 'less'}`;
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
