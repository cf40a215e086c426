import type { Quantity } from '../recipe/recipe.ts';
import { inputKey, type SpreadInput } from './spread-inputs.ts';

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

  constructor(slots: readonly Slot[], none: number) {
    this.values = Float64Array.from(slots, slot => slot.base);
    const moving = slots.flatMap((slot, i) => (slot.index === none ? [] : [{ ...slot, i }]));
    this.moving = moving.length;
    this.place = Int32Array.from(moving, slot => slot.i);
    this.base = Float64Array.from(moving, slot => slot.base);
    this.index = Int32Array.from(moving, slot => slot.index);
  }

  read(deviations: Float64Array): void {
    const { base, index, place, values, moving } = this;
    for (let k = 0; k < moving; k++) values[place[k]!] = base[k]! + deviations[index[k]!]!;
  }
}
