import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { medianTimes, rateRow, root, timeRow } from './measure.mjs';

export const title = 'Spread';

const SAMPLES = 1_000_000;
const PREDICTIONS = 5000;
const GENERAL = 5000;

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
  // A yield stress has no closed product: its models are taken one by one.
  const bingham = ['resin.rheology={model: bingham, yield_stress: 60 Pa, viscosity: 2.2 Pa.s ± 5 %}'];
  const { recipe: thick } = await loadRecipe(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), { set: bingham });
  const { result: general } = spreadProblem(thick, setting);
  const models = () => monteCarloSpread(general, { samples: GENERAL, seed: 1 });
  const copied = () => {
    for (let i = 0; i < PREDICTIONS; i += 1) JSON.parse(JSON.stringify(recipe));
  };
  const tasks = [sampled, plainProduct, models, predicted, copied];
  const [sampling, floor, modelling, predicting, copying] = await medianTimes(tasks, 5);
  const rate = (ms, samples = SAMPLES) => (samples * 1000) / ms;
  const figure = `Monte Carlo, ${problem.inputs.length} inputs, shot and window`;
  const name = 'a plain product of six normal numbers';
  return [
    rateRow(figure, rate(sampling), rate(floor), name, 'samples/s', { atLeast: 0.3 }),
    rateRow('Monte Carlo, a resin with a yield stress', rate(modelling, GENERAL), rate(floor), name, 'samples/s'),
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
