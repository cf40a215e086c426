import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Slot, Slots } from '../inputs/slot.ts';
import { generalShot } from './sampled-general-shot.ts';
import { sampledNewtonianShot } from './sampled-newtonian-shot.ts';

/** Set pressure [Pa] and dwell [s] with what they deviate by. */
export interface SpreadSetting {
  readonly pressure: Slot;
  readonly accuracy: Slot;
  readonly dwell: Slot;
  readonly jitter: Slot;
  /** When the shot is made, where samples tell: age [s] and what has left the syringe [m³]; default `ready_after` and nothing. */
  readonly moment?: { readonly age: Slot; readonly dispensed: Slot };
}

/** Puts the shot [m³] of one sample in its place; NaN where the sample is one that the models cannot be used for. */
export type ShotEvaluation = (deviations: Float64Array, out: Float64Array) => void;

export interface SampledShot {
  readonly evaluate: ShotEvaluation;
  /** `product`: the closed product of a Newtonian resin and ideal air; `general`: the models one by one, each kept while it stays. */
  readonly way: 'product' | 'general';
}

/** The shot of a recipe made ready for many samples, by the product where the recipe allows it. */
export function sampledShot(recipe: Recipe, setting: SpreadSetting, slots: Slots): SampledShot {
  const product = sampledNewtonianShot(recipe, setting, slots);
  if (product !== null) return { evaluate: product, way: 'product' };
  return { evaluate: generalShot(recipe, setting, slots), way: 'general' };
}
