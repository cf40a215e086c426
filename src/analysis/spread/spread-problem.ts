import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import type { Quantity, Recipe } from '../../recipe/schema/recipe.ts';
import { type JointSampler, jointSampler } from '../../stats/joint-sampler.ts';
import type { InputCorrelation } from '../../stats/uncertainty.ts';
import type { Setting } from '../delivery/operating-point.ts';
import { connectorWindow, FIT, OUT, type WindowEvaluation } from '../inputs/connector-window.ts';
import { makeSlots, type Slot, type Slots } from '../inputs/slot.ts';
import { type SpreadInput, spreadInputs, withTableSizes } from '../inputs/spread-inputs.ts';
import { type SampledShot, sampledShot } from './sampled-shot.ts';
import { spreadCorrelations } from './spread-correlations.ts';

/** Inputs that deviate, and what a sample of them delivers into what window. */
export interface SpreadProblem {
  readonly inputs: readonly SpreadInput[];
  readonly correlations: readonly InputCorrelation[];
  readonly way: SampledShot['way'];
  /** A sampler of the inputs. */
  sampler(): JointSampler;
  /** Length of a vector of deviations: one for each input and a last one that stays zero. */
  readonly size: number;
  /** Shot and window as the recipe stands [m³]. */
  readonly nominal: SpreadNominal;
  /** Shot and, where there is one, window of a sample; the shot is NaN for a sample that cannot be. */
  evaluate(deviations: Float64Array, out: Float64Array): number;
  /** The same inputs about another dwell [s]. */
  withDwell(dwell: number): SpreadProblem;
}

export interface SpreadNominal {
  readonly shot: number;
  readonly window: { readonly min: number; readonly aim: number; readonly max: number } | null;
}

/**
 * A recipe and a setting made ready for first order and Monte Carlo. Without a connector, or with one that does not fit as
 * it stands, there is no window and the shot stands alone; the findings of the cavity say why.
 */
export function spreadProblem(given: Recipe, setting: Setting): Outcome<SpreadProblem> {
  const recipe = withTableSizes(given);
  const inputs = spreadInputs(recipe, setting);
  const correlations = spreadCorrelations(recipe, inputs);
  const findings: Finding[] = [...correlations.findings];
  if (correlations.result === null) return { result: null, findings };
  const slots = makeSlots(inputs);
  const window = fittingWindow(connectorWindow(recipe.connector, recipe.needle?.outside ?? null, slots), slots);
  const parts = { recipe, correlations: correlations.result, slots, window };
  return { result: problemAt(parts, setting, inputs), findings };
}

interface Parts {
  readonly recipe: Recipe;
  readonly correlations: readonly InputCorrelation[];
  readonly slots: Slots;
  readonly window: WindowEvaluation | null;
}

/** A half-width that is a share of the setting moves with it: the inputs are those at that setting, in the same order. */
function problemAt(parts: Parts, setting: Setting, inputs: readonly SpreadInput[]): SpreadProblem {
  const { recipe, correlations, slots, window } = parts;
  const shot = sampledShot(recipe, settingSlots(recipe, setting, slots), slots);
  const evaluate = (deviations: Float64Array, out: Float64Array): number => {
    shot.evaluate(deviations, out);
    return window === null ? FIT.fits : window(deviations, out);
  };
  const out = new Float64Array(OUT.length);
  evaluate(new Float64Array(slots.none + 1), out);
  return {
    inputs,
    correlations,
    way: shot.way,
    size: slots.none + 1,
    evaluate,
    // The correlations have been checked: there is a sampler.
    sampler: () => jointSampler(inputs, correlations)!,
    nominal: {
      shot: out[OUT.shot]!,
      window: window === null ? null : { min: out[OUT.min]!, aim: out[OUT.aim]!, max: out[OUT.max]! },
    },
    withDwell: dwell => problemAt(parts, { ...setting, dwell }, spreadInputs(recipe, { ...setting, dwell })),
  };
}

/** A window that holds for the connector as it stands. */
function fittingWindow(window: WindowEvaluation | null, slots: Slots): WindowEvaluation | null {
  if (window === null) return null;
  const out = new Float64Array(OUT.length);
  const fit = window(new Float64Array(slots.none + 1), out);
  return fit === FIT.fits && out[OUT.max]! > out[OUT.min]! && out[OUT.max]! > 0 ? window : null;
}

function settingSlots({ settings, station }: Recipe, { pressure, dwell }: Setting, slots: Slots) {
  // The tolerance of a released value belongs to it even where the value is another, as after a trim.
  const set = (quantity: Quantity | undefined, base: number): Slot =>
    quantity === undefined ? slots.fixed(base) : { base, index: slots.of(quantity).index };
  const deviation = (quantity: Quantity | undefined): Slot =>
    quantity === undefined ? slots.fixed(0) : { base: 0, index: slots.of(quantity).index };
  return {
    pressure: set(settings?.pressure, pressure),
    accuracy: deviation(station?.pressure?.accuracy),
    dwell: set(settings?.dwell, dwell),
    jitter: deviation(station?.dwell?.jitter),
  };
}
