import { normalCdf, normalQuantile } from '../stats/distributions.ts';
import type { FirstOrder } from './first-order-spread.ts';
import { inputUnit } from './input-unit.ts';
import type { MonteCarlo } from './monte-carlo-spread.ts';
import type { SpreadInput } from './spread-inputs.ts';
import type { SpreadProblem } from './spread-problem.ts';

export interface SpreadInputKeys {
  readonly path: string;
  /** Every key that is this one dimension. */
  readonly paths: readonly string[];
  readonly per: SpreadInput['per'];
  readonly distribution: SpreadInput['shape'];
  /** Of value, half_width and standard_uncertainty. */
  readonly unit: string;
  /** Zero for a half-width on the set pressure or dwell. */
  readonly value: number;
  readonly half_width: number;
  readonly standard_uncertainty: number;
  /** Of shot less aim, in `sensitivity_unit`. */
  readonly sensitivity: number;
  readonly sensitivity_unit: string;
  readonly contribution_uL: number;
  readonly share_pct: number;
}

/** What an interval of the shot means: the shot, less what the aim of its connector is above that of the recipe. */
export interface FirstOrderKeys {
  readonly mean_uL: number;
  /** Of shot less aim. */
  readonly standard_uncertainty_uL: number;
  readonly relative_pct: number;
  /** Of the shot alone, without the connector's own tolerances. */
  readonly shot_standard_uncertainty_uL: number;
  /** Shot less aim. */
  readonly minus_aim_uL: number | null;
  /** 95 %, normal. */
  readonly interval_uL: readonly [number, number];
  readonly outside_pct: number | null;
  readonly cp: number | null;
  readonly cpk: number | null;
}

export interface MonteCarloKeys {
  readonly samples: number;
  readonly seed: number;
  readonly mean_uL: number;
  readonly standard_deviation_uL: number;
  readonly relative_pct: number;
  readonly shot_mean_uL: number;
  readonly shot_standard_deviation_uL: number;
  readonly minus_aim_uL: number | null;
  readonly skewness: number;
  /** Shortest 95 %. */
  readonly interval_uL: readonly [number, number];
  /** The reach is outside its window. */
  readonly outside_pct: number | null;
  /** Standard error of `outside_pct`. */
  readonly outside_error_pct: number | null;
  readonly too_little_pct: number | null;
  readonly too_much_pct: number | null;
  readonly cp: number | null;
  readonly cpk: number | null;
  /** The Cpk that a normal distribution with the same share beyond its worse side has; null where no sample is beyond. */
  readonly cpk_from_outside: number | null;
  /** Draws taken again because a value could not be. */
  readonly redrawn: number;
  /** Of the connectors, the needle finds no seat in; left out. */
  readonly no_seat_pct: number;
  /** Of the samples, those whose cable is thicker than the cavity somewhere; counted all the same. */
  readonly interfering_pct: number;
}

const MICROLITRE = 1e9; // m³ to µL
const TWO_SIDED = 1.959963984540054; // 97.5 % of the normal distribution

export function inputKeys({ inputs }: SpreadProblem, first: FirstOrder): SpreadInputKeys[] {
  const keys = inputs.map((input, i): SpreadInputKeys => {
    const unit = inputUnit(input.paths[0]!);
    return {
      path: input.paths[0]!,
      paths: input.paths,
      per: input.per,
      distribution: input.shape,
      unit: unit.name,
      value: input.value / unit.size,
      half_width: input.halfWidth / unit.size,
      standard_uncertainty: input.uncertainty / unit.size,
      sensitivity: first.sensitivities[i]! * unit.size * MICROLITRE,
      sensitivity_unit: unit.name === '1' ? 'uL' : `uL/${/[./]/.test(unit.name) ? `(${unit.name})` : unit.name}`,
      contribution_uL: first.contributions[i]! * MICROLITRE,
      share_pct: first.shares[i]! * 100,
    };
  });
  return keys.sort((a, b) => b.share_pct - a.share_pct); // stable: the order of the recipe where they are equal
}

/** What a first-order spread says, in SI; outside and capability by the normal distribution. */
export function firstOrderCapability({ nominal }: SpreadProblem, first: FirstOrder) {
  const { shot, window } = nominal;
  if (window === null || first.low === null || first.high === null) return { outside: null, cp: null, cpk: null };
  const margins = [shot - window.min, window.max - shot] as const;
  const beyond = (margin: number, u: number) => (u > 0 ? normalCdf(-margin / u) : Number(margin < 0));
  return {
    outside: beyond(margins[0], first.low) + beyond(margins[1], first.high),
    ...capabilityOf({ window, margins, sd: first.deviation }),
  };
}

function capabilityOf(c: { window: { min: number; max: number }; margins: readonly [number, number]; sd: number }): {
  cp: number | null;
  cpk: number | null;
} {
  if (!(c.sd > 0)) return { cp: null, cpk: null };
  return { cp: (c.window.max - c.window.min) / (6 * c.sd), cpk: Math.min(...c.margins) / (3 * c.sd) };
}

export function firstOrderKeys(problem: SpreadProblem, first: FirstOrder): FirstOrderKeys {
  const { shot, window } = problem.nominal;
  const { outside, cp, cpk } = firstOrderCapability(problem, first);
  const [mean, u] = [shot * MICROLITRE, first.deviation * MICROLITRE];
  return {
    mean_uL: mean,
    standard_uncertainty_uL: u,
    relative_pct: (u / mean) * 100,
    shot_standard_uncertainty_uL: first.shot * MICROLITRE,
    minus_aim_uL: window === null ? null : mean - window.aim * MICROLITRE,
    interval_uL: [mean - TWO_SIDED * u, mean + TWO_SIDED * u],
    outside_pct: outside === null ? null : outside * 100,
    cp,
    cpk,
  };
}

export function monteCarloKeys({ nominal }: SpreadProblem, run: MonteCarlo, seed: number): MonteCarloKeys {
  const { toAim, samples, redrawn } = run;
  const { window } = nominal;
  return {
    samples,
    seed,
    mean_uL: toAim.mean * MICROLITRE,
    standard_deviation_uL: toAim.standardDeviation * MICROLITRE,
    relative_pct: (toAim.standardDeviation / toAim.mean) * 100,
    shot_mean_uL: run.mean * MICROLITRE,
    shot_standard_deviation_uL: run.shotDeviation * MICROLITRE,
    minus_aim_uL: window === null ? null : (toAim.mean - window.aim) * MICROLITRE,
    skewness: toAim.skewness,
    interval_uL: [run.interval[0] * MICROLITRE, run.interval[1] * MICROLITRE],
    ...outsideKeys(nominal, run),
    redrawn,
    no_seat_pct: (run.noSeat / (samples + run.noSeat)) * 100,
    interfering_pct: (run.interfering / samples) * 100,
  };
}

function outsideKeys({ window }: SpreadProblem['nominal'], run: MonteCarlo) {
  if (window === null || run.window === null) {
    const none = { outside_pct: null, outside_error_pct: null, too_little_pct: null, too_much_pct: null };
    return { ...none, cp: null, cpk: null, cpk_from_outside: null };
  }
  const { tooLittle, tooMuch, marginLow, marginHigh } = run.window;
  const share = (tooLittle + tooMuch) / run.samples;
  const worse = Math.max(tooLittle, tooMuch) / run.samples;
  return {
    outside_pct: share * 100,
    outside_error_pct: Math.sqrt((share * (1 - share)) / run.samples) * 100,
    too_little_pct: (tooLittle / run.samples) * 100,
    too_much_pct: (tooMuch / run.samples) * 100,
    ...capabilityOf({ window, margins: [marginLow, marginHigh], sd: run.toAim.standardDeviation }),
    cpk_from_outside: worse > 0 && worse < 1 ? -normalQuantile(worse) / 3 : null,
  };
}
