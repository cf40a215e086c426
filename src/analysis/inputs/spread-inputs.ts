import type { Deviation, Per, Quantity, Recipe, Tolerance } from '../../recipe/schema/recipe.ts';
import type { InputDeviation } from '../../stats/joint-sampler.ts';
import { resolveNeedle, resolveOutside } from '../delivery/needle.ts';
import type { Setting } from '../delivery/operating-point.ts';
import { inputKey, visitQuantities } from './input-key.ts';
import { replacedPriors } from './replaced-priors.ts';
import { deviationAt, standardUncertainty } from './spread-terms.ts';

/** One dimension that deviates, wherever it stands in the recipe. */
export interface SpreadInput extends InputDeviation {
  /** What moves together: one place in the text. */
  readonly key: string;
  /** Where it stands, in the order of the recipe; the first one names it. */
  readonly paths: readonly string[];
  /** [SI]; zero for a half-width on the set pressure or dwell. */
  readonly value: number;
  readonly halfWidth: number;
  readonly per: Per;
  /** A value at or below zero is physically impossible. */
  readonly positive: boolean;
  /** The shot or the window depends on it. */
  readonly moves: boolean;
}

/** Keys on which shot and backfill window depend. */
const MOVING =
  /^(connector\.(cavity|cable|protrusion|reach|allowance)|needle\.(bore|outside|length|sections)|resin\.(rheology|reference_temperature|activation_energy|lot_factor|cure)|station\.(air|syringe|atmosphere|pressure\.accuracy|dwell\.jitter)|process\.(temperature|ready_after)|settings\.(pressure|dwell)|calibration)\b/;
/** Keys that may be zero or below. */
const ANY_SIGN = /^calibration\.(pressure_offset|dead_time)$|^station\.air\.vent_to$/;

/**
 * Every tolerance anywhere in the recipe, each dimension once, in the order of the recipe; what moves neither shot nor
 * window comes last. `accuracy` and `jitter` of the station count as deviations about the set pressure and dwell; what a calibration replaces does not count.
 */
export function spreadInputs(recipe: Recipe, setting: Setting): SpreadInput[] {
  const inputs = new Map<string, SpreadInput & { paths: string[] }>();
  const replaced = replacedPriors(recipe);
  visitQuantities(recipe, quantity => {
    const tolerance = toleranceOf(quantity, setting);
    if (tolerance === undefined || tolerance.halfWidth === 0 || replaced(quantity, tolerance)) return;
    const key = inputKey(quantity);
    const known = inputs.get(key);
    if (known === undefined) inputs.set(key, inputOf(quantity, tolerance, key));
    else if (!known.paths.includes(quantity.path)) known.paths.push(quantity.path);
  });
  const all = [...inputs.values()].map(input => ({ ...input, moves: input.paths.some(path => MOVING.test(path)) }));
  return [...all.filter(input => input.moves), ...all.filter(input => !input.moves)];
}

function inputOf(quantity: Quantity, tolerance: Tolerance, key: string) {
  const value = isDeviation(quantity) ? 0 : quantity.value;
  return {
    key,
    paths: [quantity.path],
    value,
    halfWidth: tolerance.halfWidth,
    per: tolerance.per,
    shape: tolerance.distribution,
    uncertainty: standardUncertainty(tolerance),
    positive: value > 0 && !ANY_SIGN.test(quantity.path),
    moves: true,
  };
}

function toleranceOf(quantity: Quantity, { pressure, dwell }: Setting): Tolerance | undefined {
  if (!isDeviation(quantity)) return quantity.tolerance;
  return deviationAt(quantity, quantity.path.startsWith('station.pressure') ? pressure : dwell);
}

function isDeviation(quantity: Quantity): quantity is Deviation {
  return 'per' in quantity;
}

/** The recipe with bore and outside of the needle written in where the gauge table gives them, tolerances included. */
export function withTableSizes(recipe: Recipe): Recipe {
  const { needle } = recipe;
  if (needle === undefined) return recipe;
  const bore =
    needle.bore === undefined && needle.sections === undefined ? resolveNeedle(recipe).result?.bore : undefined;
  const outside = needle.outside === undefined ? resolveOutside(needle).result : null;
  if (bore === undefined && outside === null) return recipe;
  return { ...recipe, needle: { ...needle, ...(bore && { bore }), ...(outside && { outside }) } };
}
