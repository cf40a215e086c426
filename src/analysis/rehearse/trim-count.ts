import type { RandomSource } from '../../numeric/random.ts';
import { judgeCheck } from '../release/judge-syringe.ts';
import { settingsOf } from '../release/shots-left.ts';
import { isTrimmed } from '../spread/spread-measures.ts';
import { type RehearsalPlan, wanderOf } from './rehearsal.ts';

/** What is left of the thickness of released syringes over their runs, as a share of the aim. */
export interface TrimCount {
  /** Of the error, over syringes and shots [-]. */
  readonly mean: number;
  readonly variance: number;
  /** Share of the syringes that are released [-]. */
  readonly released: number;
}

/** Thicknesses that a check may read, over this many standard deviations to either side. */
const NODES = 61;
const REACH = 3.6;

/**
 * What release, program and drift leave of what is the same for a syringe, counted to first order.
 *
 *   ln thickness normal with s, reading error normal with u: read x = ln θ + e, and θ given x about ρ·x, ρ = s²/(s² + u²),
 *   with variance s²·u²/(s² + u²); the decision and the program at each x are those of `release`; the error of every shot of that
 *   program at ρ·x, weighted by the density of x over the released ones; drift apart, input by input, against the first shot
 *
 * Null where no syringe is released. Evidence: agrees with rehearsals of six recipes within a tenth of Cpk.
 */
export function trimCount(plan: RehearsalPlan): TrimCount | null {
  const { line, reading, ahead, model, take, target, program } = plan;
  const first = ahead.shots[0]!;
  const [setting] = settingsOf(program, ahead.shots);
  const usual = model.deliver(1, first, setting!);
  const nominal = reading.read(() => usual * reading.shots, STILL);
  if (nominal === null) return null;
  const { spread } = take(nominal);
  const count = nominal.volumes.length;
  const own = (spread.shot ?? 0) / Math.sqrt(reading.shots);
  const u2 = own ** 2 / count + nominal.shared.reduce((sum, { relative }) => sum + relative ** 2, 0);
  const s2 = spread.trimmed ** 2;
  const [total, kept] = [s2 + u2, s2 + u2 > 0 ? s2 / (s2 + u2) : 0];
  const rest = total > 0 ? (s2 * u2) / total : 0;
  const pattern = patternOf(count, own);
  let [all, released, sum, squares] = [0, 0, 0, 0];
  for (let k = 0; k < NODES; k++) {
    const z = REACH * ((2 * k) / (NODES - 1) - 1);
    const weight = Math.exp((-z * z) / 2);
    const x = z * Math.sqrt(total);
    all += weight;
    const shot = model.deliver(Math.exp(x), first, setting!);
    const judged = judgeCheck(take({ ...nominal, volumes: pattern.map(d => shot * (1 + d)) }), ahead);
    if (judged === null || judged.decision === 'reject') continue;
    const shots = judged.trim?.shots ?? ahead.shots;
    const settings = settingsOf(judged.trim?.program ?? program, shots);
    let [mean, square] = [0, 0];
    for (let i = 0; i < shots.length; i++) {
      const error = model.deliver(Math.exp(kept * x), shots[i]!, settings[i]!) / target.aim - 1;
      mean += error / shots.length;
      square += error ** 2 / shots.length;
    }
    released += weight;
    sum += weight * mean;
    squares += weight * (square + rest);
  }
  if (released === 0) return null;
  const mean = sum / released;
  return { mean, variance: squares / released - mean ** 2 + drift(plan, line.inputs), released: released / all };
}

/** Readings whose sample standard deviation is so much [-], about zero. */
function patternOf(count: number, sd: number): number[] {
  const places = Array.from({ length: count }, (_, i) => i - (count - 1) / 2);
  const own = Math.sqrt(places.reduce((sum, x) => sum + x * x, 0) / Math.max(1, count - 1));
  return places.map(x => (own > 0 ? (x * sd) / own : 0));
}

/** Variance [-] that the inputs of a syringe give later shots against its first, which the check has seen. */
function drift(
  { line, ahead, program, drift: wander }: RehearsalPlan,
  inputs: RehearsalPlan['line']['inputs'],
): number {
  const settings = settingsOf(program, ahead.shots);
  const at = (i: number) => line.still(ahead.shots[i]!, settings[i]!.dwell);
  line.hold(0, 0);
  const plain = ahead.shots.map((_, i) => at(i));
  const start = ahead.shots[0]!.age;
  const squares = ahead.shots.map(({ age }) => wanderOf(wander, age - start) ** 2);
  let variance = squares.reduce((sum, x) => sum + x, 0) / squares.length;
  for (const [place, input] of inputs.entries()) {
    if (!isTrimmed(input) || !input.moves) continue;
    line.hold(place, input.uncertainty);
    const first = at(0) / plain[0]!;
    const squares = plain.reduce((sum, volume, i) => sum + (at(i) / volume / first - 1) ** 2, 0);
    if (Number.isFinite(squares)) variance += squares / plain.length;
  }
  return variance;
}

/** No chance at all: a reading that is exact. */
const STILL: RandomSource = { uint32: () => 0, uniform: () => 0.5, normal: () => 0 };
