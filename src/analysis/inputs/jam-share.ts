import { randomSource } from '../../numeric/random.ts';
import type { Connector, Quantity, Recipe } from '../../recipe/schema/recipe.ts';
import { jointSampler } from '../../stats/joint-sampler.ts';
import { connectorFit } from './connector-window.ts';
import { inputKey } from './input-key.ts';
import { makeSlots } from './slot.ts';
import { type SpreadInput, spreadInputs } from './spread-inputs.ts';

/** Connectors drawn: a share of 2 % is then known to 0.2 % (one standard deviation). */
const DRAWS = 4000;
/** Where none of the first so many jams, no more are drawn: at a share of 2 % that happens in 0.98^500 = 0.004 % of recipes. */
const FIRST = 500;
const SEED = 1;
/** Beyond so many standard deviations no connector is looked for. */
const FAR = 4;

/** Recipes of a family share blocks, and a block of a recipe never changes. */
const SHARES = new WeakMap<Connector, number>();

/**
 * Share of the connectors [-] in which the cable is thicker than the cavity somewhere, from the tolerances of both; zero
 * where there are none.
 *
 * One worst connector is looked at first: everything of the cavity narrow and long, everything of the cable thick and
 * forward, which for stacks that widen to the rear is the worst there is. If it goes together none are drawn.
 */
export function jamShare(connector: Connector): number {
  const before = SHARES.get(connector);
  if (before !== undefined) return before;
  const share = shareOf(connector);
  SHARES.set(connector, share);
  return share;
}

function shareOf(connector: Connector): number {
  const inputs = spreadInputs({ connector } as Recipe, { pressure: 1, dwell: 1 });
  if (inputs.length === 0) return 0;
  const slots = makeSlots(inputs);
  const jams = connectorFit(connector, slots);
  if (jams === null) return 0;
  if (widening(connector) && !jams(worst(connector, inputs))) return 0;
  const sample = jointSampler(inputs);
  if (sample === null) return 0;
  const random = randomSource(SEED);
  const deviations = new Float64Array(slots.none + 1);
  let count = 0;
  for (let i = 0; i < DRAWS; i++) {
    sample(deviations, random);
    if (jams(deviations)) count++;
    if (i + 1 === FIRST && count === 0) return 0;
  }
  return count / DRAWS;
}

function widening({ cavity = [], cable = [] }: Connector): boolean {
  return [cavity, cable].every(stack => {
    const diameters = stack.flatMap(({ front, rear }) => [front.value, rear.value]);
    return diameters.every((diameter, i) => i === 0 || diameter >= diameters[i - 1]!);
  });
}

function worst({ cavity = [], cable = [], protrusion }: Connector, inputs: readonly SpreadInput[]): Float64Array {
  const deviations = new Float64Array(inputs.length + 1);
  const place = new Map(inputs.map((input, i) => [input.key, i]));
  const move = (quantity: Quantity, sign: 1 | -1) => {
    const i = place.get(inputKey(quantity));
    if (i === undefined) return;
    const { shape, uncertainty, halfWidth } = inputs[i]!;
    deviations[i] = sign * (shape === 'normal' ? FAR * uncertainty : halfWidth);
  };
  for (const { front, rear, length } of cavity) {
    move(front, -1);
    move(rear, -1);
    move(length, 1);
  }
  for (const { front, rear, length } of cable) {
    move(front, 1);
    move(rear, 1);
    move(length, -1);
  }
  move(protrusion, 1);
  return deviations;
}
