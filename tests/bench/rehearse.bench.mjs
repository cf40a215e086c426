import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { medianTimes, rateRow, root } from './measure.mjs';

export const title = 'Rehearsal';

const SYRINGES = 4000;

export async function rows() {
  const { loadRecipe, rehearse } = await import(pathToFileURL(join(root, 'dist', 'index.js')).href);
  const { recipe } = await loadRecipe(join(root, 'recipes', 'tide-gauge-pigtail.yaml'));
  const whole = () => rehearse(recipe, { dots: 3, samples: SYRINGES, seed: 1 }).result;
  const { connectors_per_syringe: each } = whole();
  const [ours, floor] = await medianTimes([whole, () => plainProducts(SYRINGES * each)], 3);
  const rate = ms => (SYRINGES * 1000) / ms;
  const figure = `syringes of ${each} connectors checked, released, trimmed and run`;
  const name = `${each} plain products of six normal numbers`;
  return [rateRow(figure, rate(ours), rate(floor), name, 'syringes/s', { atLeast: 0.02 })];
}

/** Six normal numbers (Box–Muller) multiplied, so many times: no recipe, no window, no check. */
function plainProducts(count) {
  let state = 1;
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return (state >>> 0) / 4294967296;
  };
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  let sum = 0;
  for (let i = 0; i < count; i += 1) {
    sum += (1 + normal()) * (1 + normal()) * (1 + normal()) * (1 + normal()) * (1 + normal()) * (1 + normal());
  }
  return sum;
}
