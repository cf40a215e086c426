import { randomSource } from '../../numeric/random.ts';
import { gridValue } from '../../numeric/setting-grid.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { normalCdf } from '../../stats/distributions.ts';
import type { OperatingPoint, Setting } from '../delivery/operating-point.ts';
import { OUT } from '../inputs/connector-window.ts';
import { type FirstOrder, firstOrderSpread } from '../spread/first-order-spread.ts';
import { type MonteCarlo, sampled } from '../spread/monte-carlo-spread.ts';
import { type FirstOrderKeys, firstOrderKeys, type MonteCarloKeys, monteCarloKeys } from '../spread/spread-keys.ts';
import { isTrimmed } from '../spread/spread-measures.ts';
import type { SpreadProblem } from '../spread/spread-problem.ts';
import { planRehearsal, type RehearsalPlan, rehearsal } from './rehearsal.ts';
import { type RehearseResult, rehearseKeys } from './rehearse.ts';
import type { CheckMethod } from './syringe-reading.ts';
import { type TrimCount, trimCount } from './trim-count.ts';

/** The spread once `release` has checked every fresh syringe, and trimmed those that it asks to. */
export interface AfterTrim {
  /** Of a syringe that is trimmed to the aim at its first shot. */
  readonly dwell_s: number;
  /** The inputs that a trim takes out of the shot. */
  readonly trimmed: readonly string[];
  /** Counted: dead band, reading, program and drift by the decisions of `release` over what a check may read; windows drawn. */
  readonly first_order: FirstOrderKeys;
  /** Rehearsed: samples are connectors of released syringes. */
  readonly monte_carlo: MonteCarloKeys;
  /** How a syringe is checked, and what becomes of syringes; null where a check cannot be rehearsed: then it is taken as exact. */
  readonly rehearsal: Rehearsed | null;
}

export type Rehearsed = Pick<
  RehearseResult,
  'check' | 'syringes' | 'rejected_pct' | 'trimmed_pct' | 'missed_pct' | 'outside_interval_pct' | 'by_cause'
>;

export interface TrimWork {
  readonly recipe: Recipe;
  readonly problem: SpreadProblem;
  readonly point: OperatingPoint;
  readonly setting: Setting & { readonly from: string };
  readonly first: FirstOrder;
  readonly syringes: number;
  readonly seed: number;
  readonly progress: ((share: number) => void) | undefined;
  /** A run of the samples with a part of their deviations, for a check that is exact. */
  readonly run: (problem: SpreadProblem, scale: Float64Array) => MonteCarlo | null;
}

/** The spread after trim; null where nothing that moves the shot is constant for a syringe. */
export function afterTrim(work: TrimWork): AfterTrim | null {
  const { problem, first } = work;
  const moves = (i: number) => isTrimmed(problem.inputs[i]!) && first.shot.contributions[i]! > 0;
  const trimmed = problem.inputs.flatMap(({ paths }, i) => (moves(i) ? [paths[0]!] : []));
  if (trimmed.length === 0) return null;
  const dwell = trimmedDwell(work);
  const there = problem.withDwell(dwell);
  const scale = Float64Array.from(problem.inputs, (_, i) => (moves(i) ? 0 : 1));
  const left = firstOrderSpread(there, { scale });
  const rehearsed = rehearsedTrim(work, { there, left });
  if (rehearsed !== null) return { dwell_s: dwell, trimmed, ...rehearsed };
  const made = work.run(there, scale);
  if (made === null) return null;
  const keys = { first_order: firstOrderKeys(there, left), monte_carlo: monteCarloKeys(there, made, work.seed) };
  return { dwell_s: dwell, trimmed, ...keys, rehearsal: null };
}

/** The dwell that a trim to the aim gives, on the station's resolution. */
function trimmedDwell({ problem, point, setting, recipe }: TrimWork): number {
  const aim = problem.nominal.window?.aim ?? problem.nominal.shot;
  const exact = aim > 0 ? point.dwellFor({ pressure: setting.pressure, volume: aim }) : null;
  const step = recipe.station?.dwell?.step.value ?? 0;
  const rounded = exact === null || step <= 0 ? exact : gridValue(Math.round(exact / step), step);
  return rounded === null || rounded <= 0 ? setting.dwell : rounded;
}

/** Three dots of the gauge's shots; three weighings of five shots where the recipe has no dot. */
const METHODS: readonly CheckMethod[] = [
  { kind: 'dots', readings: 3 },
  { kind: 'masses', readings: 3, shots: 5 },
];

function rehearsedTrim(
  { recipe, setting, seed, syringes, progress }: TrimWork,
  { there, left }: { there: SpreadProblem; left: FirstOrder },
): Omit<AfterTrim, 'dwell_s' | 'trimmed'> | null {
  if (setting.from !== 'settings' || there.nominal.window === null) return null;
  const method = recipe.resin?.dot === undefined ? METHODS[1]! : METHODS[0]!;
  const plan = planRehearsal(recipe, { method }).result;
  if (plan === null) return null;
  const [shots, margins]: number[][] = [[], []];
  const keep = (shot: number, margin: number) => {
    shots!.push(shot);
    margins!.push(margin);
  };
  const counted = trimCount(plan);
  const made = rehearsal(plan, { method, syringes, seed, keep, progress });
  if (made === null || counted === null || made.tally.connectors < 3) return null;
  const { tally } = made;
  const { low, high } = tally.moments();
  const run: MonteCarlo = {
    samples: tally.connectors,
    shot: sampled(Float64Array.from(shots!)),
    margin: sampled(Float64Array.from(margins!)),
    window: { tooLittle: tally.tooLittle, tooMuch: tally.tooMuch, marginLow: low, marginHigh: high },
    ...{ redrawn: made.redrawn, noSeat: made.noSeat, interfering: made.interfering },
  };
  const keys = rehearseKeys(made, { method, seed, apart: plan.ahead.apart });
  const monteCarlo = monteCarloKeys(there, run, seed);
  const error = monteCarlo.outside_error_pct;
  const { check, rejected_pct, trimmed_pct, missed_pct, outside_interval_pct, by_cause } = keys;
  return {
    first_order: countedKeys(plan, left, { count: counted, seed }),
    // Connectors of one syringe are alike: the standard error is that of their clusters.
    monte_carlo: {
      ...monteCarlo,
      outside_error_pct: error === null ? null : error * Math.sqrt(keys.design_effect ?? 1),
      outside_interval_pct: keys.outside_interval_pct,
    },
    rehearsal: { check, syringes, rejected_pct, trimmed_pct, missed_pct, outside_interval_pct, by_cause },
  };
}

const MICROLITRE = 1e9; // m³ to µL
const TWO_SIDED = 1.959963984540054; // 97.5 % of the normal distribution

/** Connectors that tell how their windows differ. */
const WINDOWS = 5000;

/** How a backfill that connectors want differs from one to the next [m³]. */
interface Drawn {
  readonly mean: number;
  readonly variance: number;
}

/** Drawn, since a stripped length or a cone may bend what a reach holds so much that a derivative says little. */
function drawnWindows({ line }: RehearsalPlan, seed: number): Record<'min' | 'aim' | 'max', Drawn> {
  const random = randomSource(seed);
  line.syringe(random);
  const sums = { min: [0, 0], aim: [0, 0], max: [0, 0] };
  const names = ['min', 'aim', 'max'] as const;
  let count = 0;
  for (let i = 0; i < WINDOWS; i++) {
    if (!line.connector(random)) continue;
    count++;
    for (const name of names) {
      const value = line.window[OUT[name]]! * MICROLITRE;
      sums[name][0]! += value;
      sums[name][1]! += value * value;
    }
  }
  const of = ([sum, squares]: number[]): Drawn => {
    const mean = sum! / count;
    const variance = Math.max(0, squares! / count - mean * mean);
    return { mean: mean / MICROLITRE, variance: variance / MICROLITRE ** 2 };
  };
  return { min: of(sums.min), aim: of(sums.aim), max: of(sums.max) };
}

/** What differs from shot to shot, to first order, and from connector to connector, drawn, with what release leaves. */
function countedKeys(
  plan: RehearsalPlan,
  left: FirstOrder,
  { count: { mean, variance }, seed }: { count: TrimCount; seed: number },
): FirstOrderKeys {
  const { aim, window } = plan.target;
  const connectors = drawnWindows(plan, seed);
  const ofShot = left.shot.uncertainty ** 2 + Math.max(0, variance) * aim ** 2;
  const shot = aim * (1 + mean);
  const off = shot - connectors.aim.mean;
  const u = Math.sqrt(ofShot);
  const sd = Math.sqrt(ofShot + connectors.aim.variance);
  const margins = [shot - connectors.min.mean, connectors.max.mean - shot] as const;
  const ends = [Math.sqrt(ofShot + connectors.min.variance), Math.sqrt(ofShot + connectors.max.variance)] as const;
  const beyond = (k: 0 | 1) => (ends[k] > 0 ? normalCdf(-margins[k] / ends[k]) : Number(margins[k] < 0));
  const interval = (middle: number, each: number) =>
    [(middle - TWO_SIDED * each) * MICROLITRE, (middle + TWO_SIDED * each) * MICROLITRE] as const;
  return {
    mean_uL: shot * MICROLITRE,
    standard_uncertainty_uL: u * MICROLITRE,
    relative_pct: (u / shot) * 100,
    interval_uL: interval(shot, u),
    margin: {
      mean_uL: off * MICROLITRE,
      standard_uncertainty_uL: sd * MICROLITRE,
      interval_uL: interval(off, sd),
    },
    outside_pct: 100 * (beyond(0) + beyond(1)),
    cp: sd > 0 ? (window.max - window.min) / (6 * sd) : null,
    cpk: sd > 0 ? Math.min(...margins) / (3 * sd) : null,
  };
}
