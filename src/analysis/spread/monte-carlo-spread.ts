import { randomSource } from '../../numeric/random.ts';
import { sortTails } from '../../numeric/sort-tails.ts';
import { shortestInterval } from '../../stats/intervals.ts';
import { FIT, OUT } from '../inputs/connector-window.ts';
import type { SpreadProblem } from './spread-problem.ts';

export interface MonteCarloOptions {
  readonly samples: number;
  readonly seed: number;
  /** Shrinks the deviations of single inputs: 0 holds one at its value. */
  readonly scale?: Float64Array;
  /** Told the share done, about a hundred times. */
  readonly progress?: (share: number) => void;
}

/** Monte Carlo spread of a problem [m³]. */
export interface MonteCarlo {
  readonly samples: number;
  /** The shot itself. */
  readonly shot: Sampled;
  /** Shot less the aim of its own connector; null without a window. */
  readonly margin: Sampled | null;
  /** Null without a window. */
  readonly window: MonteCarloWindow | null;
  /** Draws that were taken again because something could not be. */
  readonly redrawn: number;
  /** Draws taken again because the needle did not enter, or passed through. */
  readonly noSeat: number;
  /** Samples in which the cable, placed as the recipe says, is thicker than the cavity; they count with the stacks' volumes. */
  readonly interfering: number;
}

/** What became of one result over the samples. */
export interface Sampled {
  readonly mean: number;
  readonly standardDeviation: number;
  readonly skewness: number;
  /** Shortest 95 % interval. */
  readonly interval: readonly [number, number];
}

export interface MonteCarloWindow {
  readonly tooLittle: number; // samples
  readonly tooMuch: number; // samples
  /** Means of shot less least and of greatest less shot. */
  readonly marginLow: number;
  readonly marginHigh: number;
}

/** What a connector sees: shot less aim where there is a window, else the shot. */
export function sampledJudged({ shot, margin }: MonteCarlo): Sampled {
  return margin ?? shot;
}

/** Share of the samples in the interval. */
const INTERVAL = 0.95;
/** Draws for one sample before the tolerances are given up. */
const MOST_DRAWS = 20;

/**
 * Monte Carlo spread (JCGM 101, 7): every sample draws all inputs, makes its own connector, and delivers one shot into it.
 * A draw in which a value that must be above zero is not, or that no model can be used for, is taken again and counted; so
 * is a connector in which the needle finds no seat. The inputs are then conditional on being possible. Null where more than one draw in
 * `MOST_DRAWS` is not.
 *
 * The same seed draws the same inputs whatever `scale` is, so that runs can be compared input by input.
 */
export function monteCarloSpread(problem: SpreadProblem, options: MonteCarloOptions): MonteCarlo | null {
  const run = new Run(problem, options);
  return run.all() ? run.result() : null;
}

class Run {
  private readonly shots: Float64Array;
  private readonly margins: Float64Array | null;
  private readonly out = new Float64Array(OUT.length);
  private readonly deviations: Float64Array;
  private readonly risky: readonly number[];
  /** Sums of the margins to the ends of the window: in an array, where adding makes no new number. */
  private readonly sums = new Float64Array(2);
  private low = 0;
  private high = 0;
  private redrawn = 0;
  private noSeat = 0;
  private interfering = 0;

  constructor(
    private readonly problem: SpreadProblem,
    private readonly options: MonteCarloOptions,
  ) {
    this.shots = new Float64Array(options.samples);
    this.margins = problem.nominal.window === null ? null : new Float64Array(options.samples);
    this.deviations = new Float64Array(problem.size);
    this.risky = problem.inputs.flatMap((input, i) => (mayFail(input) ? [i] : []));
  }

  /** Draws all samples; false where hardly any is possible. */
  all(): boolean {
    const { samples, seed, progress } = this.options;
    const random = randomSource(seed);
    const sampler = this.problem.sampler();
    const stride = Math.ceil(samples / 100);
    let budget = MOST_DRAWS * samples;
    for (let n = 0; n < samples; n++) {
      do {
        if (budget-- === 0) return false;
        sampler(this.deviations, random);
      } while (!this.take(n));
      if (progress !== undefined && (n + 1) % stride === 0) progress((n + 1) / samples);
    }
    return true;
  }

  /** One draw; false where it has to be taken again. */
  private take(n: number): boolean {
    const { deviations, out, problem, sums, margins } = this;
    const { scale } = this.options;
    if (scale !== undefined) for (let i = 0; i < scale.length; i++) deviations[i]! *= scale[i]!;
    if (this.risky.length > 0 && !this.possible()) return false;
    const fit = problem.evaluate(deviations, out);
    const shot = out[OUT.shot]!;
    if (Number.isNaN(shot)) {
      this.redrawn++;
      return false;
    }
    if (fit === FIT.noSeat) {
      this.noSeat++;
      return false;
    }
    if (fit === FIT.interferes) this.interfering++;
    this.shots[n] = shot;
    if (margins === null) return true;
    margins[n] = shot - out[OUT.aim]!;
    const below = shot - out[OUT.min]!;
    const above = out[OUT.max]! - shot;
    if (below < 0) this.low++;
    if (above < 0) this.high++;
    sums[0]! += below;
    sums[1]! += above;
    return true;
  }

  private possible(): boolean {
    for (const i of this.risky) {
      if (this.problem.inputs[i]!.value + this.deviations[i]! > 0) continue;
      this.redrawn++;
      return false;
    }
    return true;
  }

  result(): MonteCarlo {
    const { shots, margins, problem, sums } = this;
    const n = shots.length;
    return {
      samples: n,
      shot: sampled(shots),
      margin: margins === null ? null : sampled(margins),
      window:
        problem.nominal.window === null
          ? null
          : {
              tooLittle: this.low,
              tooMuch: this.high,
              marginLow: sums[0]! / n,
              marginHigh: sums[1]! / n,
            },
      redrawn: this.redrawn,
      noSeat: this.noSeat,
      interfering: this.interfering,
    };
  }
}

/** Standard deviations below the value at which nothing is ever drawn. */
const OUT_OF_REACH = 10;

/** Whether a draw of an input may be one that cannot be. */
export function mayFail({ positive, value, shape, uncertainty, halfWidth }: SpreadProblem['inputs'][number]): boolean {
  if (!positive) return false;
  return shape === 'normal' ? value < OUT_OF_REACH * uncertainty : value <= halfWidth;
}

/** What became of some values; orders them at their tails. */
export function sampled(values: Float64Array): Sampled {
  const n = values.length;
  const told = moments(values);
  sortTails(values, n - Math.round(INTERVAL * n));
  const { low, high } = shortestInterval(values, INTERVAL, true);
  return { ...told, interval: [low, high] };
}

/** Mean, sample standard deviation (n − 1) and skewness (third moment over sd³), two passes. */
function moments(values: Float64Array) {
  const n = values.length;
  const first = values[Math.floor(n / 2)]!;
  let sum = 0;
  for (let i = 0; i < n; i++) sum += values[i]! - first;
  const mean = first + sum / n;
  let [squares, cubes] = [0, 0];
  for (let i = 0; i < n; i++) {
    const d = values[i]! - mean;
    squares += d * d;
    cubes += d * d * d;
  }
  const standardDeviation = Math.sqrt(squares / (n - 1));
  const cube = (squares / n) ** 1.5;
  if (cube > 0 && Number.isFinite(cube)) return { mean, standardDeviation, skewness: cubes / n / cube };
  return { mean, standardDeviation, skewness: standardDeviation > 0 ? scaledSkewness(values, mean) : 0 };
}

/** The same of values whose cubes are too small or too large to be held. */
function scaledSkewness(values: Float64Array, mean: number): number {
  const most = values.reduce((a, value) => Math.max(a, Math.abs(value - mean)), 0);
  let [squares, cubes] = [0, 0];
  for (const value of values) {
    const d = (value - mean) / most;
    squares += d * d;
    cubes += d * d * d;
  }
  return cubes / values.length / (squares / values.length) ** 1.5;
}
