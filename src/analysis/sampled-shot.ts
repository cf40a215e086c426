import { DomainError } from '../numeric/domain-error.ts';
import type { Quantity, Recipe } from '../recipe/recipe.ts';
import { OUT } from './connector-window.ts';
import { isQuantity } from './input-key.ts';
import { type OperatingPoint, operatingPoint } from './operating-point.ts';
import { sampledNewtonianShot } from './sampled-newtonian-shot.ts';
import type { Slot, Slots } from './slot.ts';

/** Set pressure [Pa] and dwell [s] with what they deviate by. */
export interface SpreadSetting {
  readonly pressure: Slot;
  readonly accuracy: Slot;
  readonly dwell: Slot;
  readonly jitter: Slot;
}

/** Puts the shot [m³] of one sample in its place; NaN where the sample is one that the models cannot be used for. */
export type ShotEvaluation = (deviations: Float64Array, out: Float64Array) => void;

export interface SampledShot {
  readonly evaluate: ShotEvaluation;
  /** `product`: the closed product of a Newtonian resin and ideal air; `general`: the models one by one. */
  readonly way: 'product' | 'general';
}

/** The shot of a recipe made ready for many samples, by the product where the recipe allows it. */
export function sampledShot(recipe: Recipe, setting: SpreadSetting, slots: Slots): SampledShot {
  const product = sampledNewtonianShot(recipe, setting, slots);
  if (product !== null) return { evaluate: product, way: 'product' };
  return { evaluate: generalShot(recipe, setting, slots), way: 'general' };
}

/**
 * The shot of any recipe: its models are built anew for every sample, from a copy of the recipe whose deviating values are
 * set in place. While they stay the same, as where the setting alone deviates, the models are kept.
 */
export function generalShot(recipe: Recipe, setting: SpreadSetting, slots: Slots): ShotEvaluation {
  const { copy, leaves } = livingCopy(recipe, slots);
  let point: OperatingPoint | null | undefined;
  return (deviations, out) => {
    out[OUT.shot] = Number.NaN;
    let same = point !== undefined;
    for (const { leaf, slot } of leaves) {
      const value = slot.base + deviations[slot.index]!;
      if (leaf.value !== value) {
        leaf.value = value;
        same = false;
      }
    }
    if (!same) point = pointOf(copy);
    if (!point) return;
    const at = ({ base, index }: Slot) => base + deviations[index]!;
    const pressure = at(setting.pressure) + at(setting.accuracy);
    const dwell = at(setting.dwell) + at(setting.jitter);
    out[OUT.shot] = possible(() => point!.deliver({ pressure, dwell }).volume) ?? Number.NaN;
  };
}

function pointOf(recipe: Recipe): OperatingPoint | null {
  return possible(() => operatingPoint(recipe).result);
}

/** A draw may be one that no resin or station can be; everything else that goes wrong is a fault. */
function possible<T>(compute: () => T): T | null {
  try {
    return compute();
  } catch (thrown) {
    if (thrown instanceof DomainError) return null;
    throw thrown;
  }
}

interface LivingLeaf {
  readonly leaf: { value: number };
  readonly slot: Slot;
}

/** Blocks on which the shot depends. */
const BLOCKS = ['needle', 'resin', 'station', 'process', 'calibration'] as const;

function livingCopy(recipe: Recipe, slots: Slots): { copy: Recipe; leaves: LivingLeaf[] } {
  const leaves: LivingLeaf[] = [];
  const copyOf = (node: unknown): unknown => {
    if (typeof node !== 'object' || node === null) return node;
    if (isQuantity(node)) {
      const slot = slots.of(node);
      const leaf = { ...(node as Quantity) } as Quantity & { value: number };
      if (slot.index !== slots.none && !('per' in node)) leaves.push({ leaf, slot });
      return leaf;
    }
    if (Array.isArray(node)) return node.map(copyOf);
    return Object.fromEntries(Object.entries(node).map(([key, value]) => [key, copyOf(value)]));
  };
  const blocks = BLOCKS.filter(block => recipe[block] !== undefined).map(
    block => [block, copyOf(recipe[block])] as const,
  );
  return { copy: { ...recipe, ...Object.fromEntries(blocks) }, leaves };
}
