import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { medianTimes, rateRow, root, timeRow } from './measure.mjs';

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
  const copied = () => {
    for (let i = 0; i < PREDICTIONS; i += 1) JSON.parse(JSON.stringify(recipe));
  };
  const [sampling, floor, predicting, copying] = await medianTimes([sampled, plainProduct, predicted, copied], 5);
  const rate = ms => (SAMPLES * 1000) / ms;
  const figure = `Monte Carlo, ${problem.inputs.length} inputs, shot and window`;
  const name = 'a plain product of six normal numbers';
  return [
    rateRow(figure, rate(sampling), rate(floor), name, 'samples/s', { atLeast: 0.3 }),
    timeRow(`first order for rules, ${PREDICTIONS} times`, predicting, copying, 'copying the recipe as JSON'),
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
