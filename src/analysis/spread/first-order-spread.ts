import { combineUncertainty } from '../../stats/uncertainty.ts';
import { OUT } from '../inputs/connector-window.ts';
import type { SpreadProblem } from './spread-problem.ts';

/** First-order spread of a problem [m³]. */
export interface FirstOrder {
  /** The shot itself. */
  readonly shot: FirstOrderPart;
  /** Shot less the aim of its connector; null without a window. */
  readonly margin: FirstOrderPart | null;
  /** Standard uncertainty of shot less the least, and of the greatest less the shot; null without a window. */
  readonly low: number | null;
  readonly high: number | null;
  /** Inputs whose derivative depends on the step. */
  readonly unsure: readonly number[];
}

/** Uncertainty of one result; lists have one entry for each input. */
export interface FirstOrderPart {
  /** Standard uncertainty [m³]. */
  readonly uncertainty: number;
  /** Derivatives by the inputs [m³ per SI unit], what each gives [m³], and its share of the variance. */
  readonly sensitivities: readonly number[];
  readonly contributions: readonly number[];
  readonly shares: readonly number[];
}

/** What a connector sees: shot less aim where there is a window, else the shot. */
export function judged({ shot, margin }: FirstOrder): FirstOrderPart {
  return margin ?? shot;
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
  const part = (of: (gradient: readonly number[]) => number): FirstOrderPart => {
    const sensitivities = gradients.map(of);
    const budget = sensitivities.map((sensitivity, i) => ({ sensitivity, uncertainty: uncertainties[i]! }));
    const { uncertainty, contributions, shares } = combineUncertainty(budget, correlations);
    return { uncertainty, sensitivities, contributions, shares };
  };
  const less = (k: number) => (nominal.window === null ? null : part(g => g[OUT.shot]! - g[k]!));
  return {
    shot: part(g => g[OUT.shot]!),
    margin: less(OUT.aim),
    low: less(OUT.min)?.uncertainty ?? null,
    high: less(OUT.max)?.uncertainty ?? null,
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
