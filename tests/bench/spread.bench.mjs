import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { medianTimes, rateRow, root } from './measure.mjs';

export const title = 'Spread';

const SAMPLES = 1_000_000;
const PREDICTIONS = 5000;

export async function rows() {
  const { loadRecipe, monteCarloSpread, predictSpread, spreadProblem } = await import(
    pathToFileURL(join(root, 'dist', 'index.js')).href
  );
  const { recipe } = await loadRecipe(join(root, 'recipes', 'tide-gauge-pigtail.yaml'));
  const setting = { pressure: recipe.settings.pressure.value, dwell: recipe.settings.dwell.value };
  const { result: problem } = spreadProblem(recipe, setting);
  const sampled = () => monteCarloSpread(problem, { samples: SAMPLES, seed: 1 });
  const predicted = () => {
    for (let i = 0; i < PREDICTIONS; i += 1) predictSpread(recipe);
  };
  const [sampling, floor, predicting] = await medianTimes([sampled, plainProduct, predicted], 5);
  const rate = (count, ms) => (count * 1000) / ms;
  const name = 'a plain product of six normal numbers';
  const inputs = problem.inputs.length;
  return [
    rateRow(
      `Monte Carlo, ${inputs} inputs, shot and window`,
      rate(SAMPLES, sampling),
      rate(SAMPLES, floor),
      name,
      'samples/s',
    ),
    rateRow('first order for rules', rate(PREDICTIONS, predicting), rate(SAMPLES, floor), name, 'per second'),
  ];
}

/** Six normal numbers (Box–Muller) multiplied: no recipe, no window, nothing kept. */
function plainProduct() {
  let state = 1;
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return (state >>> 0) / 4294967296;
  };
  const normal = () => Math.sqrt(-2 * Math.log(1 - uniform())) * Math.cos(2 * Math.PI * uniform());
  let sum = 0;
  for (let i = 0; i < SAMPLES; i += 1) {
    sum += (1 + normal()) * (1 + normal()) * (1 + normal()) * (1 + normal()) * (1 + normal()) * (1 + normal());
  }
  return sum;
}
