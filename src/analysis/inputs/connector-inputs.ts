import type { Connector, Recipe } from '../../recipe/schema/recipe.ts';
import { type SpreadInput, spreadInputs } from './spread-inputs.ts';

/** Recipes of a family share blocks, and a block of a recipe never changes. */
const INPUTS = new WeakMap<Connector, readonly SpreadInput[]>();

/** Every tolerance of a connector, as `spreadInputs`. */
export function connectorInputs(connector: Connector): readonly SpreadInput[] {
  let inputs = INPUTS.get(connector);
  if (inputs === undefined) {
    // The setting counts for tolerances of the station alone.
    inputs = spreadInputs({ connector } as Recipe, { pressure: 1, dwell: 1 });
    INPUTS.set(connector, inputs);
  }
  return inputs;
}
