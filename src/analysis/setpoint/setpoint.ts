import { deliveryFinding } from '../../diagnostics/codes/delivery-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inPercent, inWords } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe, WallClass } from '../../recipe/schema/recipe.ts';
import { type DispenseAim, dispenseAim } from '../cavity/dispense-aim.ts';
import { type OperatingPoint, operatingPoint, type Setting } from '../delivery/operating-point.ts';
import type { ResinConditions } from '../delivery/resin-course.ts';
import { type SpreadCause, type SpreadModel, spreadModel } from '../inputs/spread-terms.ts';
import { boreMarch } from '../needles/bore-shot.ts';
import { type MatchedResult, matchedNeedle, ownD4PerLength } from '../needles/matched-needle.ts';
import { type NeedleChoice, withNeedle } from '../needles/needle-choice.ts';
import {
  bestPairs,
  type Criteria,
  choosePair,
  type Pair,
  type RatedPair,
  representativePairs,
} from './setpoint-search.ts';
import { impossible, reaching, stationGrid } from './station-grid.ts';

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
  readonly time_to_bead_s: number | null;
}

export interface CandidateKeys extends SetpointKeys {
  readonly chosen: boolean;
  /** What keeps this candidate from being better. */ readonly limited_by: string;
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
  readonly chosen: SetpointKeys;
  /** What makes the predicted spread of the chosen setting, largest first. */
  readonly spread: readonly { readonly cause: SpreadCause; readonly path: string | null; readonly relative: number }[];
  readonly candidates: readonly CandidateKeys[];
  readonly matched: MatchedResult | null;
  readonly needles: readonly NeedleComparison[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/** Pairs within this share of `process.tolerance` are as good as exact. */
const FINE_SHARE = 0.1;
/** So many candidates are shown. */
const CANDIDATES = 12;

/**
 * Pressure and dwell that deliver the backfill aim inside the station's limits, on its resolution: for each pressure step
 * the best dwell step, and of those the choice of `choosePair`.
 */
export function setpoint(recipe: Recipe, options: SetpointOptions = {}): Outcome<SetpointResult> {
  const found = search(recipe, options);
  if (found.result === null) return { result: null, findings: distinct(found.findings) };
  const { aim, point, chosen, spread } = found.result;
  const { min, max } = aim.book.backfill;
  const result: SetpointResult = {
    aim_uL: aim.aim * 1e9,
    window_uL: min === null || max === null ? null : [min * 1e9, max * 1e9],
    tolerance_pct: recipe.process?.tolerance === undefined ? null : recipe.process.tolerance.value * 100,
    age_min: point.age / 60,
    temperature_C: point.temperature - 273.15,
    viscosity_factor: point.viscosityFactor,
    lot_factor: point.lotFactor,
    chosen: keysOf(recipe, found.result, chosen),
    spread: [...spread.terms(chosen)].sort((a, b) => b.relative - a.relative),
    candidates: candidatesOf(recipe, found.result),
    matched: matchedNeedle(recipe, { book: aim.book, pressure: chosen.pressure, conditions: options }),
    needles: (options.needles ?? []).map(needle => compared(recipe, options, needle)),
    models: point.models,
    defaults: point.defaults,
  };
  return { result, findings: distinct(found.findings) };
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
  readonly chosen: RatedPair;
}

function search(recipe: Recipe, options: SetpointOptions): Outcome<Found> {
  const aim = dispenseAim(recipe, 'a setpoint');
  const at = operatingPoint(recipe, options, 'a setpoint');
  const grid = stationGrid(recipe, options);
  const spread = at.result === null ? null : spreadModel(recipe, options).result;
  const findings = [...aim.findings, ...at.findings, ...grid.findings];
  if (aim.result === null || at.result === null || grid.result === null || spread === null) {
    return { result: null, findings };
  }
  const point = at.result;
  const pairs = bestPairs(point, aim.result.aim, grid.result.pressures, grid.result.dwells);
  const tolerance = recipe.process?.tolerance?.value ?? null;
  const [low, high] = recipe.process?.practical_dwell.map(dwell => dwell.value) ?? PRACTICAL_DWELL;
  const criteria = { fine: tolerance === null ? null : tolerance * FINE_SHARE, middleDwell: Math.sqrt(low! * high!) };
  const chosen = choosePair(reaching(pairs, grid.result), criteria, spread);
  if (chosen === null) {
    findings.push(impossible(point, aim.result.aim, grid.result));
    return { result: null, findings };
  }
  findings.push(...coarseFindings(chosen, criteria));
  return { result: { aim: aim.result, point, pairs, criteria, spread, chosen }, findings };
}

/** Default of `process.practical_dwell` for a recipe without a process [s]. */
const PRACTICAL_DWELL = [0.2, 4] as const;

function coarseFindings(chosen: Pair, criteria: Criteria): Finding[] {
  if (criteria.fine === null || atMost(Math.abs(chosen.error), criteria.fine)) return [];
  const message = `the best setting misses the aim by ${inPercent(chosen.error)}, more than ${inPercent(criteria.fine)}, a tenth of the tolerance`;
  return [deliveryFinding('setpoint-coarse', 'station.dwell.step', message)];
}

function keysOf(recipe: Recipe, { aim, point }: Pick<Found, 'aim' | 'point'>, pair: RatedPair): SetpointKeys {
  return {
    pressure_kPa: pair.pressure / 1e3,
    dwell_s: pair.dwell,
    volume_uL: pair.volume * 1e9,
    error_pct: pair.error * 100,
    spread_rel: pair.spread,
    time_to_bead_s: boreMarch(recipe, aim.book, point, pair.pressure)?.timeToBead ?? null,
  };
}

function candidatesOf(recipe: Recipe, found: Found): CandidateKeys[] {
  const { pairs, criteria, spread, chosen } = found;
  return representativePairs(pairs, CANDIDATES, stretch => choosePair(stretch, criteria, spread)).map(pair => ({
    ...keysOf(recipe, found, pair),
    chosen: pair.pressure === chosen.pressure && pair.dwell === chosen.dwell,
    limited_by: limitOf(pair, criteria, spread),
  }));
}

/** Causes that a choice of pressure and dwell can do something about. */
const MOVABLE: readonly SpreadCause[] = ['pressure accuracy', 'dwell jitter', 'air transient', 'emptying syringe'];

/** What keeps a pair from being better: the resolution, else the largest cause of spread that depends on the setting. */
function limitOf(pair: Pair, criteria: Criteria, spread: SpreadModel): string {
  if (criteria.fine !== null && !atMost(Math.abs(pair.error), criteria.fine)) return 'resolution';
  const terms = spread.terms(pair);
  const largest = (list: typeof terms) => list.reduce((a, b) => (b.relative > a.relative ? b : a)).cause;
  const movable = terms.filter(term => MOVABLE.includes(term.cause) && term.relative > 0);
  if (movable.length > 0) return largest(movable);
  return terms.length > 0 ? largest(terms) : 'practical dwell';
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
    needle: `${choice.gauge} ${variant.needle!.wall}${length === undefined ? '' : ` x ${inWords(length, 'mm')}`}`,
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
