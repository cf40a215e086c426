import { normalCdf, normalQuantile } from '../../stats/distributions.ts';
import { proportionInterval } from '../../stats/proportion.ts';
import { inputUnit } from '../inputs/input-unit.ts';
import type { SpreadInput } from '../inputs/spread-inputs.ts';
import { type FirstOrder, judged } from './first-order-spread.ts';
import { type MonteCarlo, type Sampled, sampledJudged } from './monte-carlo-spread.ts';
import { normalInterval, type SpreadAgreement } from './spread-agreement.ts';
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
  /** Of the shot, in `sensitivity_unit`. */
  readonly sensitivity: number;
  readonly sensitivity_unit: string;
  readonly contribution_uL: number;
  /** Of the variance of the shot. */
  readonly share_pct: number;
  /** The same three of shot less aim: a connector's size moves the aim alone. Null without a window. */
  readonly margin_sensitivity: number | null;
  readonly margin_contribution_uL: number | null;
  readonly margin_share_pct: number | null;
}

/** Mean, uncertainty and interval are those of the shot; outside, Cp and Cpk judge it against its connector's window. */
export interface FirstOrderKeys {
  readonly mean_uL: number;
  readonly standard_uncertainty_uL: number;
  readonly relative_pct: number;
  /** 95 %, normal. */
  readonly interval_uL: readonly [number, number];
  /** Shot less the aim of its connector; null without a window. */
  readonly margin: {
    readonly mean_uL: number;
    readonly standard_uncertainty_uL: number;
    readonly interval_uL: readonly [number, number];
  } | null;
  readonly outside_pct: number | null;
  /** By the standard uncertainty of the margin. */
  readonly cp: number | null;
  readonly cpk: number | null;
}

/** Mean, deviation and interval are those of the shot; outside, Cp and Cpk judge each against its own connector's window. */
export interface MonteCarloKeys {
  readonly samples: number;
  readonly seed: number;
  readonly mean_uL: number;
  readonly standard_deviation_uL: number;
  readonly relative_pct: number;
  readonly skewness: number;
  /** Shortest 95 %. */
  readonly interval_uL: readonly [number, number];
  /** Shot less the aim of its own connector; null without a window. */
  readonly margin: {
    readonly mean_uL: number;
    readonly standard_deviation_uL: number;
    readonly skewness: number;
    readonly interval_uL: readonly [number, number];
  } | null;
  /** The reach is outside its window. */
  readonly outside_pct: number | null;
  /** Standard error of `outside_pct`; null where none was outside, of which the interval tells. */
  readonly outside_error_pct: number | null;
  /** 95 %, Clopper–Pearson; where none was outside from zero to the one-sided bound. */
  readonly outside_interval_pct: readonly [number, number] | null;
  readonly too_little_pct: number | null;
  readonly too_much_pct: number | null;
  /** By the standard deviation of the margin. */
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

/** Whether the two ways to the spread agree. */
export interface AgreementKeys {
  /** Null where the samples are too few to tell. */
  readonly agrees: boolean | null;
  /** Half a unit of the first digit of the standard uncertainty. */
  readonly tolerance_uL: number;
  /** Between the lower and between the upper ends of the intervals. */
  readonly low_difference_uL: number;
  readonly high_difference_uL: number;
  /** Standard error of an end of the Monte Carlo interval. */
  readonly interval_error_uL: number;
  /** Monte Carlo over first order. */
  readonly standard_deviation_ratio: number | null;
  readonly mean_shift_uL: number;
}

const MICROLITRE = 1e9; // m³ to µL

/** The inputs, largest share of the shot first; those with none by their share of the margin. */
export function inputKeys({ inputs }: SpreadProblem, { shot, margin }: FirstOrder): SpreadInputKeys[] {
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
      sensitivity: shot.sensitivities[i]! * unit.size * MICROLITRE,
      sensitivity_unit: unit.name === '1' ? 'uL' : `uL/${/[./]/.test(unit.name) ? `(${unit.name})` : unit.name}`,
      contribution_uL: shot.contributions[i]! * MICROLITRE,
      share_pct: shot.shares[i]! * 100,
      margin_sensitivity: margin === null ? null : margin.sensitivities[i]! * unit.size * MICROLITRE,
      margin_contribution_uL: margin === null ? null : margin.contributions[i]! * MICROLITRE,
      margin_share_pct: margin === null ? null : margin.shares[i]! * 100,
    };
  });
  // Stable: the order of the recipe where both are equal.
  return keys.sort((a, b) => b.share_pct - a.share_pct || (b.margin_share_pct ?? 0) - (a.margin_share_pct ?? 0));
}

/** What a first-order spread says, in SI; outside and capability by the normal distribution. */
export function firstOrderCapability({ nominal }: SpreadProblem, first: FirstOrder) {
  const { shot, window } = nominal;
  if (window === null || first.low === null || first.high === null) return { outside: null, cp: null, cpk: null };
  const margins = [shot - window.min, window.max - shot] as const;
  const beyond = (margin: number, u: number) => (u > 0 ? normalCdf(-margin / u) : Number(margin < 0));
  return {
    outside: beyond(margins[0], first.low) + beyond(margins[1], first.high),
    ...capabilityOf({ window, margins, sd: judged(first).uncertainty }),
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
  const [mean, u] = [shot * MICROLITRE, first.shot.uncertainty * MICROLITRE];
  return {
    mean_uL: mean,
    standard_uncertainty_uL: u,
    relative_pct: (u / mean) * 100,
    interval_uL: normalInterval(mean, u),
    margin: window === null || first.margin === null ? null : marginKeys(shot - window.aim, first.margin.uncertainty),
    outside_pct: outside === null ? null : outside * 100,
    cp,
    cpk,
  };
}

function marginKeys(mean: number, uncertainty: number): FirstOrderKeys['margin'] {
  const [m, u] = [mean * MICROLITRE, uncertainty * MICROLITRE];
  return { mean_uL: m, standard_uncertainty_uL: u, interval_uL: normalInterval(m, u) };
}

export function monteCarloKeys({ nominal }: SpreadProblem, run: MonteCarlo, seed: number): MonteCarloKeys {
  const { shot, margin, samples, redrawn } = run;
  return {
    samples,
    seed,
    ...sampledKeys(shot),
    relative_pct: (shot.standardDeviation / shot.mean) * 100,
    margin: margin === null ? null : sampledKeys(margin),
    ...outsideKeys(nominal, run),
    redrawn,
    no_seat_pct: (run.noSeat / (samples + run.noSeat)) * 100,
    interfering_pct: (run.interfering / samples) * 100,
  };
}

function sampledKeys({ mean, standardDeviation, skewness, interval: [low, high] }: Sampled) {
  return {
    mean_uL: mean * MICROLITRE,
    standard_deviation_uL: standardDeviation * MICROLITRE,
    skewness,
    interval_uL: [low * MICROLITRE, high * MICROLITRE] as const,
  };
}

function outsideKeys({ window }: SpreadProblem['nominal'], run: MonteCarlo) {
  if (window === null || run.window === null) {
    const none = { outside_pct: null, outside_error_pct: null, outside_interval_pct: null };
    return { ...none, too_little_pct: null, too_much_pct: null, cp: null, cpk: null, cpk_from_outside: null };
  }
  const { tooLittle, tooMuch, marginLow, marginHigh } = run.window;
  const share = (tooLittle + tooMuch) / run.samples;
  const worse = Math.max(tooLittle, tooMuch) / run.samples;
  const interval = proportionInterval({ count: tooLittle + tooMuch, of: run.samples });
  return {
    outside_pct: share * 100,
    outside_error_pct: share === 0 ? null : Math.sqrt((share * (1 - share)) / run.samples) * 100,
    outside_interval_pct: [100 * interval.low, 100 * interval.high] as const,
    too_little_pct: (tooLittle / run.samples) * 100,
    too_much_pct: (tooMuch / run.samples) * 100,
    ...capabilityOf({ window, margins: [marginLow, marginHigh], sd: sampledJudged(run).standardDeviation }),
    cpk_from_outside: worse > 0 && worse < 1 ? -normalQuantile(worse) / 3 : null,
  };
}

export function agreementKeys(of: SpreadAgreement): AgreementKeys {
  return {
    agrees: of.agrees,
    tolerance_uL: of.tolerance * MICROLITRE,
    low_difference_uL: of.lowDifference * MICROLITRE,
    high_difference_uL: of.highDifference * MICROLITRE,
    interval_error_uL: of.intervalError * MICROLITRE,
    standard_deviation_ratio: of.standardDeviationRatio,
    mean_shift_uL: of.meanShift * MICROLITRE,
  };
}
