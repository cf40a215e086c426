import { combineUncertainty } from '../stats/uncertainty.ts';
import { OUT } from './connector-window.ts';
import type { SpreadProblem } from './spread-problem.ts';

/** First-order spread of a problem [m³]. */
export interface FirstOrder {
  /** Standard uncertainty of the shot alone. */
  readonly shot: number;
  /** Of shot less aim; of the shot where there is no window. */
  readonly deviation: number;
  /** Of shot less the least, and of the greatest less the shot; null without a window. */
  readonly low: number | null;
  readonly high: number | null;
  /** One for each input: derivative of shot less aim by it [m³ per SI unit], what it gives [m³], share of the variance. */
  readonly sensitivities: readonly number[];
  readonly contributions: readonly number[];
  readonly shares: readonly number[];
  /** Inputs whose derivative depends on the step. */
  readonly unsure: readonly number[];
}

/** Step of the central differences over the standard uncertainty [-]; the check takes half of it. */
const STEP = 0.1;
/** A derivative that moves by more than this share of the whole between step and half step is not trusted. */
const UNSURE = 1e-3;

/**
 * First-order spread (JCGM 100, 5.1.2 and 5.2.2): derivatives of shot and window by central differences with steps of a
 * tenth and a twentieth of each standard uncertainty, carried on to step zero (Richardson); their difference is the check.
 * `scale` shrinks the uncertainty of single inputs: 0 holds one at its value.
 *
 * `check: false` takes one step alone, for predictions where time counts.
 */
export function firstOrderSpread(
  problem: SpreadProblem,
  { scale, check = true }: { scale?: Float64Array; check?: boolean } = {},
): FirstOrder {
  const { inputs, correlations, nominal } = problem;
  const uncertainties = inputs.map(({ uncertainty }, i) => uncertainty * (scale?.[i] ?? 1));
  const unsure: number[] = [];
  const gradients = inputs.map((input, i) => {
    if (!input.moves || uncertainties[i] === 0) return ZERO;
    const step = STEP * input.uncertainty;
    const wide = differences(problem, i, step);
    if (!check) return wide;
    const narrow = differences(problem, i, step / 2);
    if (wide.some((d, k) => Math.abs(d - narrow[k]!) * input.uncertainty > UNSURE * nominal.shot)) unsure.push(i);
    return narrow.map((d, k) => (4 * d - wide[k]!) / 3);
  });
  const combined = (of: (gradient: readonly number[]) => number) =>
    combineUncertainty(
      gradients.map((gradient, i) => ({ sensitivity: of(gradient), uncertainty: uncertainties[i]! })),
      correlations,
    );
  const shot = (g: readonly number[]) => g[OUT.shot]!;
  const toAim = (g: readonly number[]) => (nominal.window === null ? shot(g) : shot(g) - g[OUT.aim]!);
  const deviation = combined(toAim);
  const margin = (k: number) => (nominal.window === null ? null : combined(g => shot(g) - g[k]!).uncertainty);
  return {
    shot: combined(shot).uncertainty,
    deviation: deviation.uncertainty,
    low: margin(OUT.min),
    high: margin(OUT.max),
    sensitivities: gradients.map(toAim),
    contributions: deviation.contributions,
    shares: deviation.shares,
    unsure,
  };
}

/** Differences below this share of a value are what is left of sums that cancel. */
const ROUNDING = 1e-12;
const ZERO: readonly number[] = new Array(OUT.length).fill(0);

/** Derivatives of shot and window by one input. A place that cannot be, on one side, leaves the other. */
function differences({ size, evaluate, nominal }: SpreadProblem, input: number, step: number): number[] {
  const deviations = new Float64Array(size);
  const unknown = nominal.window === null ? 0 : Number.NaN; // a place without a seat leaves the window alone
  const plus = new Float64Array(OUT.length).fill(unknown);
  const minus = new Float64Array(OUT.length).fill(unknown);
  deviations[input] = step;
  evaluate(deviations, plus);
  deviations[input] = -step;
  evaluate(deviations, minus);
  const { shot, window } = nominal;
  const middle = [shot, window?.min ?? 0, window?.aim ?? 0, window?.max ?? 0];
  return middle.map((value, k) => {
    const up = plus[k]!;
    const down = minus[k]!;
    if (Number.isNaN(up)) return Number.isNaN(down) ? 0 : (value - down) / step;
    if (Number.isNaN(down)) return (up - value) / step;
    return Math.abs(up - down) <= ROUNDING * Math.abs(value) ? 0 : (up - down) / (2 * step);
  });
}
