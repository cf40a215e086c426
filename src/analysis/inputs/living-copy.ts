import type { Quantity } from '../../recipe/schema/recipe.ts';
import { isQuantity } from './input-key.ts';
import type { Slot, Slots } from './slot.ts';

/** A copy of a part of a recipe whose deviating values are set in place, sample by sample. */
export interface LivingCopy<T> {
  readonly node: T;
  /** How many of its values deviate. */
  readonly moving: number;
  /** Sets the values of a sample; whether any has changed. The first call says that all have. */
  read(deviations: Float64Array): boolean;
}

interface Leaf {
  readonly leaf: { value: number };
  readonly slot: Slot;
}

/** Half-widths such as `accuracy` stay as they are: what deviates by them is not their own value. */
export function livingCopy<T>(part: T, slots: Slots): LivingCopy<T> {
  const leaves: Leaf[] = [];
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
  const node = copyOf(part) as T;
  let first = true;
  const read = (deviations: Float64Array) => {
    let changed = first;
    first = false;
    for (let i = 0; i < leaves.length; i++) {
      const { leaf, slot } = leaves[i]!;
      const value = slot.base + deviations[slot.index]!;
      if (leaf.value === value) continue;
      leaf.value = value;
      changed = true;
    }
    return changed;
  };
  return { node, moving: leaves.length, read };
}
