import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inPercent } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe, WallClass } from '../../recipe/schema/recipe.ts';
import { type DispenseAim, dispenseAim } from '../cavity/dispense-aim.ts';
import { type OperatingPoint, operatingPoint, type Setting } from '../delivery/operating-point.ts';
import type { ResinConditions } from '../delivery/resin-course.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import type { SpreadCause, SpreadModel } from '../inputs/spread-terms.ts';
import { boreMarch, rectangleFindings } from '../needles/bore-shot.ts';
import { type MatchedResult, matchedNeedle, ownD4PerLength } from '../needles/matched-needle.ts';
import { type NeedleChoice, needleName, withNeedle } from '../needles/needle-choice.ts';
import { programFindings } from '../program/best-program.ts';
import { possibleSettings } from './possible-settings.ts';
import { type Criteria, choosePair } from './setpoint-choice.ts';
import { type SetpointProgram, setpointPrograms } from './setpoint-program.ts';
import { type Pair, representativePairs } from './setpoint-search.ts';
import { impossible } from './station-grid.ts';

export interface SetpointOptions extends ResinConditions {
  /** Fixes the pressure [Pa], or the dwell [s]. */
  readonly pressure?: number;
  readonly dwell?: number;
  /** [s] */ readonly age?: number;
  /** [m³] */ readonly dispensed?: number;
  readonly needles?: readonly NeedleChoice[];
}

export interface SetpointKeys {
  readonly pressure_kPa: number;
  readonly dwell_s: number;
  readonly volume_uL: number;
  /** Above zero: too much. */ readonly error_pct: number;
  /** Predicted relative standard deviation of the shot. */ readonly spread_rel: number;
  /** The same of what changes from shot to shot, which no trim takes out. */ readonly after_trim_rel: number;
  readonly time_to_bead_s: number | null;
}

export interface ChosenKeys extends SetpointKeys {
  /** Which criteria decided, in their order. */ readonly why: readonly string[];
}

export interface SetpointStageKeys {
  readonly from_shot: number;
  readonly first_dwell_s: number;
  readonly add_s: number;
  readonly every: number;
}

/** The step program at the chosen pressure; its first dwell may differ by what keeps the later shots nearer the aim. */
export interface SetpointProgramKeys {
  readonly stages: readonly SetpointStageKeys[];
  readonly worst_error_pct: number;
  readonly last_dwell_s: number;
  readonly last_shot: number;
}

export interface CandidateKeys extends SetpointKeys {
  readonly chosen: boolean;
  /** The largest cause of its spread, or the resolution. */ readonly limited_by: string;
}

export interface NeedleComparison {
  readonly needle: string;
  readonly gauge: string;
  readonly wall: WallClass;
  readonly length_mm: number | null;
  readonly bore_mm: number | null;
  readonly outside_mm: number | null;
  readonly d4_per_length_mm3: number | null;
  readonly aim_uL: number | null;
  /** Null where no setting of the station delivers the aim through this needle. */
  readonly chosen: SetpointKeys | null;
  readonly limited_by: string;
}

export interface SetpointResult {
  readonly aim_uL: number;
  readonly window_uL: readonly [number, number] | null;
  readonly tolerance_pct: number | null;
  readonly age_min: number;
  readonly temperature_C: number;
  readonly viscosity_factor: number;
  readonly lot_factor: number;
  readonly chosen: ChosenKeys;
  /** Null where the recipe does not tell a run (no takt, an age of its own). */
  readonly program: SetpointProgramKeys | null;
  /** What makes the predicted spread of the chosen setting, largest first. */
  readonly spread: readonly { readonly cause: SpreadCause; readonly path: string | null; readonly relative: number }[];
  readonly candidates: readonly CandidateKeys[];
  readonly matched: MatchedResult | null;
  readonly needles: readonly NeedleComparison[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** So many candidates are shown. */
const CANDIDATES = 12;

/**
 * Pressure and dwell that deliver the backfill aim inside the station's limits, on its resolution: for each pressure step
 * the best dwell step, and of those the choice of `choosePair`; with the step program at that pressure, whose first dwell looks ahead and may be a step or two longer.
 */
export function setpoint(recipe: Recipe, options: SetpointOptions = {}): Outcome<SetpointResult> {
  const found = search(recipe, options);
  if (found.result === null) return { result: null, findings: distinct(found.findings) };
  const { aim, point, chosen, why, spread, program } = found.result;
  const { min, max } = aim.book.backfill;
  const result: SetpointResult = {
    aim_uL: aim.aim * 1e9,
    window_uL: min === null || max === null ? null : [min * 1e9, max * 1e9],
    tolerance_pct: recipe.process?.tolerance === undefined ? null : recipe.process.tolerance.value * 100,
    age_min: point.age / 60,
    temperature_C: point.temperature - 273.15,
    viscosity_factor: point.viscosityFactor,
    lot_factor: point.lotFactor,
    chosen: { ...keysOf(recipe, found.result, chosen), why },
    program: program === null ? null : programKeys(program),
    spread: [...spread.terms(chosen)].sort((a, b) => b.relative - a.relative),
    candidates: candidatesOf(recipe, found.result),
    matched: matchedNeedle(recipe, { book: aim.book, pressure: chosen.pressure, conditions: options }),
    needles: (options.needles ?? []).map(needle => compared(recipe, options, needle)),
    models: point.models,
    defaults: [...point.defaults, ...takenByDefault(recipe, 'setpoint')],
  };
  return { result, findings: allFindings(found.result, found.findings) };
}

/** The pair that {@link setpoint} chooses, with the findings of all it says, and without what is only shown beside it. */
export function setpointPair(recipe: Recipe, options: SetpointOptions = {}): Outcome<Pair> {
  const { result, findings } = search(recipe, options);
  if (result === null) return { result, findings: distinct(findings) };
  return { result: result.chosen, findings: allFindings(result, findings) };
}

/** With those of the program; what a coarse setting misses its program misses as well. */
function allFindings({ aim, point, program }: Found, findings: readonly Finding[]): Finding[] {
  const coarse = findings.some(({ code }) => code === 'setpoint-coarse');
  const left = program === null || coarse ? [] : programFindings(program);
  return distinct([...findings, ...rectangleFindings(aim.book, point), ...left]);
}

/** The pressure and dwell that {@link setpoint} chooses [Pa], [s]. */
export function setpointSetting(recipe: Recipe, options: SetpointOptions = {}): Outcome<Setting> {
  const { result, findings } = search(recipe, options);
  if (result === null) return { result, findings: distinct(findings) };
  const { pressure, dwell } = result.chosen;
  return { result: { pressure, dwell }, findings: distinct(findings) };
}

interface Found {
  readonly aim: DispenseAim;
  readonly point: OperatingPoint;
  readonly pairs: readonly Pair[];
  readonly criteria: Criteria;
  readonly spread: SpreadModel;
  readonly chosen: Pair;
  readonly why: readonly string[];
  readonly program: SetpointProgram | null;
}

function search(recipe: Recipe, options: SetpointOptions): Outcome<Found> {
  const { result: settings, findings } = possibleSettings(recipe, options);
  if (settings === null) return { result: null, findings };
  const { aim, point, pairs, possible, spread, criteria: quick } = settings;
  // most often the choice stays what it is without a look at programs
  const likely = choosePair(possible, quick);
  const programs = likely === null ? null : setpointPrograms(recipe, options, likely.pair.pressure);
  const criteria = { ...quick, program: programs?.criterion ?? null };
  const choice = criteria.program === null ? likely : choosePair(possible, criteria);
  if (choice === null) return { result: null, findings: [...findings, impossible(point, aim.aim, settings.grid)] };
  const chosen = choice.pair;
  const program = programs?.of(chosen) ?? null;
  const result = { aim, point, pairs, criteria, spread, chosen, why: choice.why, program };
  return { result, findings: [...findings, ...coarseFindings(chosen, criteria)] };
}

function coarseFindings(chosen: Pair, criteria: Criteria): Finding[] {
  if (criteria.fine === null || atMost(Math.abs(chosen.error), criteria.fine)) return [];
  const message = `the best setting misses the aim by ${inPercent(chosen.error)}, more than ${inPercent(criteria.fine)}, a tenth of the tolerance`;
  return [deliveryFinding('setpoint-coarse', 'station.dwell.step', message)];
}

function keysOf(recipe: Recipe, { aim, point, spread }: Found, pair: Pair): SetpointKeys {
  return {
    pressure_kPa: pair.pressure / 1e3,
    dwell_s: pair.dwell,
    volume_uL: pair.volume * 1e9,
    error_pct: pair.error * 100,
    spread_rel: spread.relative(pair),
    after_trim_rel: spread.fromShotToShot(pair),
    time_to_bead_s: boreMarch(recipe, aim.book, point, pair.pressure)?.timeToBead ?? null,
  };
}

function candidatesOf(recipe: Recipe, found: Found): CandidateKeys[] {
  const { pairs, criteria, spread, chosen } = found;
  // beside the chosen one a program is not worked out: what a candidate is like can be seen without
  const quick = { ...criteria, program: null };
  const best = (stretch: readonly Pair[]) =>
    stretch.includes(chosen) ? chosen : (choosePair(stretch, quick)?.pair ?? null);
  return representativePairs(pairs, CANDIDATES, best).map(pair => ({
    ...keysOf(recipe, found, pair),
    chosen: pair === chosen,
    limited_by: limitOf(pair, criteria, spread),
  }));
}

/** What keeps a pair from being better: the resolution, else the largest cause of its spread. */
function limitOf(pair: Pair, criteria: Criteria, spread: SpreadModel): string {
  if (criteria.fine !== null && !atMost(Math.abs(pair.error), criteria.fine)) return 'resolution';
  const terms = spread.terms(pair);
  return terms.length === 0 ? 'practical dwell' : terms.reduce((a, b) => (b.relative > a.relative ? b : a)).cause;
}

/** A program as keys of a result. */
export function programKeys({ program, plan, last }: SetpointProgram): SetpointProgramKeys {
  return {
    stages: program.stages.map(({ fromShot, first, add, every }) => ({
      from_shot: fromShot,
      first_dwell_s: first,
      add_s: add,
      every,
    })),
    worst_error_pct: program.worst * 100,
    last_dwell_s: last,
    last_shot: plan.end.shot,
  };
}

/** The recipe's setpoint with another needle in it. */
function compared(recipe: Recipe, options: SetpointOptions, choice: NeedleChoice): NeedleComparison {
  const variant = withNeedle(recipe, choice);
  const { needles: _needles, ...rest } = options;
  const found = search(variant, rest);
  const point = found.result?.point ?? operatingPoint(variant, rest).result;
  const aim = found.result?.aim ?? dispenseAim(variant, 'a setpoint').result;
  const length = variant.needle?.length?.value;
  const error = found.findings.find(finding => finding.severity === 'error');
  return {
    needle: needleName(variant.needle!),
    ...{ gauge: choice.gauge, wall: variant.needle!.wall, length_mm: length === undefined ? null : length * 1e3 },
    bore_mm: point === null ? null : point.needle.bore.value * 1e3,
    outside_mm: point?.needle.outside == null ? null : point.needle.outside.value * 1e3,
    d4_per_length_mm3: point === null ? null : ownD4PerLength(point) * 1e9,
    aim_uL: aim === null ? null : aim.aim * 1e9,
    chosen: found.result === null ? null : keysOf(variant, found.result, found.result.chosen),
    limited_by:
      found.result === null
        ? (error?.message ?? 'not computed')
        : limitOf(found.result.chosen, found.result.criteria, found.result.spread),
  };
}
