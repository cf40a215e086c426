import type { Quantity } from '../../recipe/schema/recipe.ts';
import { inputKey } from './input-key.ts';
import type { SpreadInput } from './spread-inputs.ts';

/** A value of the recipe that may deviate: base + deviations[index]. The last deviation belongs to none and is zero. */
export interface Slot {
  readonly base: number; // [SI]
  readonly index: number;
}

/** Gives the slot of any quantity of the recipe. */
export interface Slots {
  of(quantity: Quantity): Slot;
  fixed(value: number): Slot;
  /** Place of the deviation that is always zero; the length of a vector of deviations is one more. */
  readonly none: number;
}

export function makeSlots(inputs: readonly SpreadInput[]): Slots {
  const places = new Map(inputs.map((input, i) => [input.key, i]));
  const none = inputs.length;
  return {
    of: quantity => ({ base: quantity.value, index: places.get(inputKey(quantity)) ?? none }),
    fixed: value => ({ base: value, index: none }),
    none,
  };
}

/** Slots side by side, for loops over many samples: only those that deviate are read anew. */
export class SlotArray {
  /** The values as last read. */
  readonly values: Float64Array;
  /** How many of them deviate. */
  readonly moving: number;
  private readonly place: Int32Array;
  private readonly base: Float64Array;
  private readonly index: Int32Array;

  // Filled one by one: `from` with a function is ten times as slow, and rules make these for thousands of recipes.
  constructor(slots: readonly Slot[], none: number) {
    const count = slots.length;
    this.values = new Float64Array(count);
    this.place = new Int32Array(count);
    this.base = new Float64Array(count);
    this.index = new Int32Array(count);
    let moving = 0;
    for (let i = 0; i < count; i++) {
      const { base, index } = slots[i]!;
      this.values[i] = base;
      if (index === none) continue;
      this.place[moving] = i;
      this.base[moving] = base;
      this.index[moving++] = index;
    }
    this.moving = moving;
  }

  read(deviations: Float64Array): void {
    const { base, index, place, values, moving } = this;
    for (let k = 0; k < moving; k++) values[place[k]!] = base[k]! + deviations[index[k]!]!;
  }
}
