import { batchFinding } from '../../diagnostics/codes/batch-codes.ts';
import { distinct } from '../../diagnostics/distinct.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inPercent } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { clockText } from '../batch/clock-text.ts';
import { type HoldBackResult, holdBack } from '../delivery/hold-back.ts';
import { type ResolvedNeedle, resolveNeedle } from '../delivery/needle.ts';
import { takenByDefault } from '../delivery/taken-by-default.ts';
import { resinDot } from '../dot/dot.ts';
import type { Paper } from '../dot/gauge-grid.ts';
import { mix } from '../mix/mix.ts';
import type { RampEnd } from '../program/run-end.ts';
import { type DwellGrid, dwellGrid } from '../ramp/dwell-grid.ts';
import { checkedRun, type ProgramBasis, type ProgramRun, programRun } from '../ramp/program-run.ts';
import { type CardDot, cardDot } from './card-dot.ts';
import { type CardCheck, cardChecks } from './card-readings.ts';
import { type CardStep, cardSteps } from './card-steps.ts';
import type { CardSyringe, CardSyringeKeys } from './card-syringe.ts';
import { type CardTrim, cardTrims } from './card-trims.ts';

export type { CardCheck, CardDot, CardStep, CardTrim };

export interface CardOptions {
  /** Default A4. */
  readonly paper?: Paper | undefined;
  /** When the kit in use was mixed [s since midnight]; default: the card gives ages alone. */
  readonly mixedAt?: number | undefined;
  /** Shots on one circle of the first-piece check; default: enough to tell the tolerance, as the card has room. */
  readonly dotsPerCircle?: number | undefined;
  /** Values of the recipe were replaced for this card: it is then no released one. */
  readonly trial?: boolean | undefined;
  /** A syringe of its own, with the program of its check; default: any syringe of the recipe. */
  readonly syringe?: CardSyringe | undefined;
  /** Temperatures of the grid [K]; default: every kelvin of the tolerance of the process. */
  readonly gridTemperatures?: readonly number[] | undefined;
}

export interface CardResult {
  readonly paper: Paper;
  /** Where the card was written; null until the command has written it. */
  readonly file: string | null;
  readonly resin: string | null;
  readonly station: string | null;
  /** `released`: from `settings`; `trial`: values were replaced for this card; `syringe`: of one syringe alone. */
  readonly settings: 'released' | 'trial' | 'computed, not released' | 'syringe';
  /** The syringe that the card is of; null for any. */
  readonly syringe: CardSyringeKeys | null;
  readonly pressure_kPa: number;
  /** Of the first shot that the card is for. */
  readonly dwell_s: number;
  /** Decimals that the station's steps of dwell have. */
  readonly dwell_decimals: number;
  readonly aim_uL: number;
  readonly aim_mg: number | null;
  readonly window_uL: readonly [number, number] | null;
  readonly tolerance_pct: number | null;
  readonly temperature_C: number;
  readonly takt_s: number;
  readonly bore_shot: 'by_sight' | 'by_dwell';
  /** Bead that ends the bore shot, across; null where the recipe does not say. */
  readonly bead_mm: number | null;
  readonly needle: {
    readonly gauge: string | null;
    readonly wall: string;
    readonly length_mm: number;
    readonly bore_mm: number;
    readonly outside_mm: number | null;
  };
  readonly prime_shots: number;
  readonly ready_after_min: number;
  readonly hold_back: HoldBackResult | null;
  readonly mixed_at: string | null;
  readonly first_shot_at: string | null;
  readonly ramp: {
    /** `kept`: the dwell stays as it is, no ramp is released. */
    readonly basis: ProgramBasis;
    readonly stages: readonly {
      readonly from_shot: number;
      readonly first_dwell_s: number;
      readonly add_s: number;
      readonly every: number;
    }[];
    readonly presses_per_connector: number;
    readonly steps: readonly CardStep[];
    readonly worst_error_pct: number;
  };
  /** For the charts. */
  readonly shots: readonly {
    readonly shot: number;
    readonly age_min: number;
    readonly viscosity_factor: number;
    readonly dwell_s: number;
    readonly exact_dwell_s: number;
  }[];
  /** The last connector of a syringe, and why it is the last. */
  readonly stop: {
    readonly shot: number;
    readonly age_min: number;
    readonly at: string | null;
    readonly reason: RampEnd | 'tolerance';
  };
  readonly out_of_tolerance_from_shot: number | null;
  readonly dot: CardDot | null;
  readonly calibration: {
    readonly date: string | null;
    readonly viscosity_factor: number;
    readonly pressure_offset_kPa: number;
    readonly dead_time_s: number;
    readonly data: string | null;
  } | null;
  /** The kit that fills one syringe; null where the recipe does not say how it is mixed. */
  readonly mix: {
    readonly mass_g: number;
    readonly base_g: number;
    readonly hardener_g: number;
    readonly scale_g: number | null;
    readonly least_mass_g: number | null;
    readonly largest_mass_g: number | null;
  } | null;
  /** Null where no run can be planned. */
  readonly grid: DwellGrid | null;
  /** Every 0.1 mm of the dots of the first piece; [] without a dot or a released setting. */
  readonly trims: readonly CardTrim[];
  /** Shot at which those dots are laid. */
  readonly trims_at_shot: number;
  readonly checks: readonly CardCheck[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * What the setup card says: the settings in force, the ramp step by step, needle, prime, hold-back window, the dot of the first-piece
 * check, and when to stop. What the recipe has not released is computed, and said to be. With a syringe, all of it is of that one, from
 * the shot of its check on.
 */
export function card(recipe: Recipe, options: CardOptions = {}): Outcome<CardResult> {
  const wrong = optionFindings(options);
  const { syringe } = options;
  const force = syringe === undefined ? programRun(recipe) : checkedRun(recipe, syringe.run);
  const needle = resolveNeedle(recipe);
  const findings = [...wrong, ...force.findings, ...needle.findings];
  if (force.result === null || needle.result === null || wrong.length > 0) {
    return { result: null, findings: distinct(findings) };
  }
  const dot = cardDot(recipe, options);
  findings.push(...dot.findings);
  const tolerance = recipe.process?.tolerance?.value ?? null;
  const leaves = leavesToleranceAt(force.result, tolerance);
  if (!isReleased(force.result)) findings.push(notReleased(recipe));
  if (leaves !== null) findings.push(outOfTolerance(force.result, leaves, tolerance!));
  const parts = { recipe, options, force: force.result, needle: needle.result, dot: dot.result, leaves };
  return { result: resultOf(parts), findings: distinct(findings) };
}

function optionFindings({ dotsPerCircle }: CardOptions): Finding[] {
  if (dotsPerCircle === undefined || (Number.isInteger(dotsPerCircle) && dotsPerCircle >= 1)) return [];
  return [
    batchFinding('card-option', null, `dots-per-circle is ${dotsPerCircle}, must be a whole number of at least 1`),
  ];
}

function isReleased({ basis }: ProgramRun): boolean {
  return basis !== 'computed, not released';
}

function notReleased({ settings }: Recipe): Finding {
  const missing = (['pressure', 'dwell'] as const)
    .filter(key => settings?.[key] === undefined)
    .map(key => `\`settings.${key}\``);
  const message = `the recipe has no ${missing.join(' and ')}: pressure, dwell and ramp of the card are computed, not released`;
  return batchFinding('card-not-released', 'settings', message);
}

/** Place of the first shot that misses the aim by more than the tolerance, or null. */
function leavesToleranceAt({ shots }: ProgramRun, tolerance: number | null): number | null {
  if (tolerance === null) return null;
  const index = shots.findIndex(({ error }) => !atMost(Math.abs(error), tolerance));
  return index === -1 ? null : index;
}

function outOfTolerance({ shots, plan }: ProgramRun, from: number, tolerance: number): Finding {
  const { shot, error } = shots[from]!;
  const message = `shot ${shot} of ${plan.end.shot} misses the aim by ${inPercent(error)}, the tolerance is ${inPercent(tolerance)}`;
  return batchFinding('card-out-of-tolerance', 'settings', message);
}

interface Parts {
  readonly recipe: Recipe;
  readonly options: CardOptions;
  readonly force: ProgramRun;
  readonly needle: ResolvedNeedle;
  readonly dot: CardDot | null;
  /** Place of the first shot out of tolerance. */
  readonly leaves: number | null;
}

function resultOf(p: Parts): CardResult {
  const { recipe, options, force, dot } = p;
  const { plan } = force;
  const { aim, book } = plan.aim;
  const { min, max } = book.backfill;
  const density = recipe.resin?.density?.value;
  const readyAfter = recipe.process?.ready_after.value ?? 0;
  const at = (age: number) => (options.mixedAt === undefined ? null : clockText(options.mixedAt + age));
  const tolerance = recipe.process?.tolerance?.value;
  const angle = resinDot(recipe).result?.contactAngle ?? null;
  return {
    ...{ paper: options.paper ?? 'a4', file: null },
    ...{ resin: recipe.resin?.name ?? null, station: recipe.station?.name ?? null },
    settings: stateOf(p),
    syringe: options.syringe?.keys ?? null,
    pressure_kPa: force.pressure / 1e3,
    dwell_s: force.shots[0]!.dwell,
    dwell_decimals: decimalsOf([plan.limits.step, plan.limits.addStep, force.shots[0]!.dwell]),
    aim_uL: aim * 1e9,
    aim_mg: density === undefined ? null : aim * density * 1e6,
    window_uL: min === null || max === null ? null : [min * 1e9, max * 1e9],
    tolerance_pct: tolerance === undefined ? null : tolerance * 100,
    temperature_C: plan.shots[0]!.point.temperature - 273.15,
    takt_s: recipe.process!.takt!.value, // a ramp has asked for it
    bore_shot: recipe.process?.bore_shot ?? 'by_sight',
    bead_mm: recipe.connector?.bead?.diameter === undefined ? null : recipe.connector.bead.diameter.value * 1e3,
    needle: needleKeys(p.needle),
    prime_shots: plan.primeShots,
    ready_after_min: readyAfter / 60,
    hold_back: holdBack(recipe, { contactAngle: angle }).result,
    mixed_at: at(0),
    first_shot_at: at(plan.shots[0]!.age),
    ramp: rampKeys(p),
    shots: plan.shots.map((shot, i) => ({
      shot: shot.shot,
      age_min: shot.age / 60,
      viscosity_factor: shot.point.viscosityFactor,
      dwell_s: force.shots[i]!.dwell,
      exact_dwell_s: shot.exact,
    })),
    stop: stopOf(p, at),
    out_of_tolerance_from_shot: p.leaves === null ? null : plan.shots[p.leaves]!.shot,
    dot,
    calibration: calibrationKeys(recipe),
    mix: mixKeys(recipe),
    grid: dwellGrid(recipe, {
      pressure: force.pressure,
      temperatures: options.gridTemperatures,
      of: options.syringe && { lotFactor: options.syringe.run.lotFactor, from: options.syringe.run.from },
    }),
    ...checkKeys(p),
    models: plan.shots[0]!.point.models,
    defaults: [...plan.shots[0]!.point.defaults, ...takenByDefault(recipe, 'run')],
  };
}

function needleKeys(needle: ResolvedNeedle): CardResult['needle'] {
  return {
    gauge: needle.gauge,
    wall: needle.wall,
    length_mm: needle.length * 1e3,
    bore_mm: needle.bore.value * 1e3,
    outside_mm: needle.outside === null ? null : needle.outside.value * 1e3,
  };
}

function stateOf({ force, options }: Parts): CardResult['settings'] {
  if (options.syringe !== undefined) return 'syringe';
  return isReleased(force) ? (options.trial === true ? 'trial' : 'released') : 'computed, not released';
}

/** When dots are laid, and what they then ask for: of a syringe that was checked already, at the next check. */
function checkKeys(p: Parts): Pick<CardResult, 'trims' | 'trims_at_shot' | 'checks'> {
  const { recipe, options, dot, force } = p;
  const { syringe } = options;
  const shots = force.plan.shots.slice(0, shotsInside(p));
  const all = cardChecks(shots, options.mixedAt);
  if (syringe === undefined) return { trims: cardTrims(recipe, dot), trims_at_shot: 1, checks: all };
  const checks = all.slice(1);
  const next = shots.find(({ shot }) => shot === checks[0]?.shot);
  const { program, temperature } = syringe.run;
  const trims =
    next === undefined
      ? []
      : cardTrims(recipe, dot, {
          ...{ shot: next.shot, age: next.age, program, temperature },
          dispensed: next.dispensed - force.plan.aim.aim,
        });
  return { trims, trims_at_shot: next?.shot ?? syringe.keys.shot, checks };
}

/** Connectors inside the tolerance before the first that is not, or all of the run. */
function shotsInside({ force, leaves }: Parts): number {
  return leaves ?? force.plan.shots.length;
}

function stopOf(p: Parts, at: (age: number) => string | null): CardResult['stop'] {
  const { plan } = p.force;
  const count = shotsInside(p);
  const { shot, age } = plan.shots[Math.max(count, 1) - 1]!;
  return {
    shot: count === 0 ? 0 : shot,
    age_min: age / 60,
    at: at(age),
    reason: p.leaves === null ? plan.end.reason : 'tolerance',
  };
}

function rampKeys(p: Parts): CardResult['ramp'] {
  const { force, options } = p;
  const shots = force.plan.shots.map(({ shot, age }, i) => ({ shot, age, dwell: force.shots[i]!.dwell }));
  return {
    basis: force.basis,
    stages: force.stages.map(s => ({ from_shot: s.fromShot, first_dwell_s: s.first, add_s: s.add, every: s.every })),
    presses_per_connector: force.plan.pressesPerShot,
    steps: cardSteps(shots.slice(0, shotsInside(p) || shots.length), options.mixedAt),
    worst_error_pct: force.worst * 100,
  };
}

function mixKeys(recipe: Recipe): CardResult['mix'] {
  const kit = recipe.resin?.mix === undefined ? null : mix(recipe).result;
  if (kit === null) return null;
  const { mass_g, base_g, hardener_g, scale_g, least_mass_g, cup } = kit;
  return { mass_g, base_g, hardener_g, scale_g, least_mass_g, largest_mass_g: cup?.largest_mass_g ?? null };
}

function calibrationKeys({ calibration }: Recipe): CardResult['calibration'] {
  if (calibration === undefined) return null;
  return {
    date: calibration.date ?? null,
    viscosity_factor: calibration.viscosity_factor.value,
    pressure_offset_kPa: calibration.pressure_offset.value / 1e3,
    dead_time_s: calibration.dead_time.value,
    data: calibration.data ?? null,
  };
}

const MOST_DECIMALS = 4;

/** Decimals with which all of these are written in full. */
function decimalsOf(values: readonly number[]): number {
  for (let decimals = 0; decimals < MOST_DECIMALS; decimals++) {
    if (values.every(v => Math.abs(v - Number(v.toFixed(decimals))) < 1e-9)) return decimals;
  }
  return MOST_DECIMALS;
}
