import { randomSource } from '../../numeric/random.ts';
import { FIT, OUT } from '../inputs/connector-window.ts';
import { mayFail } from './monte-carlo-spread.ts';
import type { SpreadProblem } from './spread-problem.ts';

/** What a measure does to the margin (to the shot without a window), beside the recipe as it is. */
export interface MeasuredChange {
  /** Standard deviation with the measure over that without [-]. */
  readonly ratio: number;
  /** Standard error of its square [-]. */
  readonly error: number;
  /** Of the share outside [-], and of Cpk as a ratio; null without a window. */
  readonly outside: number | null;
  readonly cpk: number | null;
  /** The variance differs by more than twice its standard error. */
  readonly told: boolean;
}

/** Runs of draws whose scatter tells the error of a difference. */
const BATCHES = 20;
/** A difference within so many standard errors is none. */
const TOLD = 2;
const MOST_DRAWS = 20;

/**
 * What each measure changes, every one with the same draws as the recipe as it is, so that the chance of the draws falls out of the
 * difference. `scales` are what is left of each input's deviation. Null where hardly a draw is possible.
 *
 * The error of a difference is that of a delete-a-group jackknife over 20 runs of draws.
 * Source: Efron & Tibshirani, An Introduction to the Bootstrap (1993), ch. 11, for the jackknife; common random numbers: Law,
 * Simulation Modeling and Analysis, ch. 11 (both from memory).
 * Evidence: a measure that does nothing changes nothing at all; shares of first order within the error.
 */
export function compareMeasures(
  problem: SpreadProblem,
  scales: readonly Float64Array[],
  { samples, seed, progress }: { samples: number; seed: number; progress?: (share: number) => void },
): readonly MeasuredChange[] | null {
  const random = randomSource(seed);
  const sampler = problem.sampler();
  const deviations = new Float64Array(problem.size);
  const scaled = new Float64Array(problem.size);
  const judged = problem.nominal.window !== null;
  const unit = Math.abs(problem.nominal.window?.aim ?? problem.nominal.shot);
  const risky = problem.inputs.flatMap((input, i) => (mayFail(input) ? [i] : []));
  const sums = Array.from({ length: scales.length + 1 }, () => Array.from({ length: BATCHES }, () => new Sums()));
  const outs = sums.map(() => new Float64Array(OUT.length));
  const possible = (x: Float64Array, out: Float64Array) => {
    for (const i of risky) if (!(problem.inputs[i]!.value + x[i]! > 0)) return false;
    return problem.evaluate(x, out) !== FIT.noSeat && !Number.isNaN(out[OUT.shot]!);
  };
  let budget = MOST_DRAWS * samples;
  const draw = (): boolean => {
    sampler(deviations, random);
    if (!possible(deviations, outs[0]!)) return false;
    return scales.every((scale, k) => {
      for (let i = 0; i < scale.length; i++) scaled[i] = deviations[i]! * scale[i]!;
      return possible(scaled, outs[k + 1]!);
    });
  };
  for (let n = 0; n < samples; n++) {
    while (!draw()) if (budget-- <= 0) return null;
    const batch = n % BATCHES;
    for (let k = 0; k < sums.length; k++) sums[k]![batch]!.add(outs[k]!, judged, unit);
    if (progress !== undefined && n % 100 === 99) progress((n + 1) / samples);
  }
  const base = sums[0]!;
  return scales.map((_, k) => changeOf(base, sums[k + 1]!, judged));
}

class Sums {
  n = 0;
  private readonly v = new Float64Array(5);

  add(out: Float64Array, judged: boolean, unit: number): void {
    const { v } = this;
    const shot = out[OUT.shot]!;
    const margin = (shot - (judged ? out[OUT.aim]! : 0)) / unit;
    this.n++;
    v[0]! += margin;
    v[1]! += margin * margin;
    if (!judged) return;
    const [below, above] = [shot - out[OUT.min]!, out[OUT.max]! - shot];
    v[2]! += below / unit;
    v[3]! += above / unit;
    if (below < 0 || above < 0) v[4]!++;
  }

  plus({ n, v }: Sums, sign: 1 | -1): this {
    this.n += sign * n;
    for (let i = 0; i < v.length; i++) this.v[i]! += sign * v[i]!;
    return this;
  }

  told() {
    const { n, v } = this;
    const mean = v[0]! / n;
    const variance = Math.max(0, v[1]! / n - mean * mean);
    const cpk = Math.min(v[2]!, v[3]!) / n / (3 * Math.sqrt(variance));
    return { variance, cpk, outside: v[4]! / n };
  }
}

function changeOf(base: readonly Sums[], other: readonly Sums[], judged: boolean): MeasuredChange {
  const whole = (list: readonly Sums[]) => list.reduce((sum, batch) => sum.plus(batch, 1), new Sums());
  const [all, with_] = [whole(base), whole(other)];
  const share = (a: Sums, b: Sums) => b.told().variance / a.told().variance;
  const left = base.map((batch, i) => {
    const rest = share(all.plus(batch, -1), with_.plus(other[i]!, -1));
    all.plus(batch, 1);
    with_.plus(other[i]!, 1);
    return rest;
  });
  const mean = left.reduce((a, b) => a + b, 0) / left.length;
  const squares = left.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  const error = Math.sqrt(((left.length - 1) / left.length) * squares);
  const [before, after] = [all.told(), with_.told()];
  const square = share(all, with_);
  return {
    ...{ ratio: Math.sqrt(square), error },
    outside: judged ? after.outside - before.outside : null,
    cpk: judged && before.cpk !== 0 ? after.cpk / before.cpk : null,
    told: Math.abs(square - 1) > TOLD * error + 1e-9,
  };
}
