import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { medianTimes, root, timeRow } from './measure.mjs';

export const title = 'Through an air line by ISO 6358';

const FLOOR = 'a charge and vent by 20,000 Runge–Kutta steps';

/** The aims are 2 ms a shot and 300 ms a ramp of a hundred shots; the floor tells how fast the machine is. */
export async function rows() {
  const { loadRecipe, ramp, shot } = await import(pathToFileURL(join(root, 'dist', 'index.js')).href);
  const load = async name => (await loadRecipe(join(root, 'recipes', name))).recipe;
  const newtonian = await load('current-meter-pigtail.yaml');
  const thinning = await load('hydrophone-array-tail.yaml');
  const tasks = [newtonian, thinning].flatMap(recipe => [() => shot(recipe, {}), () => ramp(recipe, {})]);
  const [shotN, rampN, shotP, rampP, floor] = await medianTimes([...tasks, plainPulse], 9);
  const shots = recipe => ramp(recipe, {}).result.shots.length;
  return [
    timeRow('shot, newtonian', shotN, floor, FLOOR),
    timeRow('shot, power law', shotP, floor, FLOOR),
    timeRow(`ramp of ${shots(newtonian)} shots, newtonian`, rampN, floor, FLOOR),
    timeRow(`ramp of ${shots(thinning)} shots, power law`, rampP, floor, FLOOR),
  ];
}

/** The same pulse stepped through by hand, for one Newtonian needle. */
function plainPulse() {
  const [choked, ratio, supply, volume] = [3e-9 * 1.185, 0.3, 311325, 6e-6];
  const valve = (from, to) => {
    const r = to / from;
    return r >= 1 ? 0 : choked * from * (r <= ratio ? 1 : Math.sqrt(1 - ((r - ratio) / (1 - ratio)) ** 2));
  };
  const rate = (p, open) => ((open ? valve(supply, p) : -valve(p, 101325)) * 84389) / volume;
  const step = 1e-4;
  let [p, shot] = [101325, 0];
  for (let i = 0; i < 20_000; i += 1) {
    const open = i < 10_000;
    const k1 = rate(p, open);
    const k2 = rate(p + (step * k1) / 2, open);
    const k3 = rate(p + (step * k2) / 2, open);
    const k4 = rate(p + step * k3, open);
    p += (step * (k1 + 2 * k2 + 2 * k3 + k4)) / 6;
    shot += (p - 101325) * step;
  }
  return shot;
}
