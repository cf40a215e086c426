// How far the released setting of a recipe carries: the dwell that delivers the aim in colder and warmer rooms and with
// thinner and thicker lots, at the released pressure, as CSV on standard output.
//
//   npx esbuild examples/room-and-lot.ts --format=esm | node --input-type=module - recipes/tide-gauge-pigtail.yaml
import { loadRecipe, type Recipe, setpoint } from 'dwellbook';

const ROOMS = [18, 20, 23, 26, 28]; // [°C]
const LOTS = [0.85, 1, 1.15]; // viscosity over the recipe's

const [file = 'recipes/tide-gauge-pigtail.yaml'] = process.argv.slice(2).filter(word => word !== '-');
const { recipe, findings } = await loadRecipe(file);
if (recipe === null) {
  for (const { file: at, line, column, message } of findings) console.error(`${at}:${line}:${column}: ${message}`);
  process.exitCode = 1;
} else {
  console.log(['room [degC]', ...LOTS.map(lot => `dwell of lot ${lot} [s]`)].join(','));
  for (const room of ROOMS) console.log([room, ...LOTS.map(lot => dwellFor(recipe, room, lot))].join(','));
}

/** The dwell [s] on the station's steps; empty where no setting delivers the aim. */
function dwellFor(recipe: Recipe, room: number, lotFactor: number): number | string {
  const pressure = recipe.settings?.pressure?.value; // [Pa]
  const { result } = setpoint(recipe, {
    ...(pressure === undefined ? {} : { pressure }),
    ...{ temperature: room + 273.15, lotFactor },
  });
  return result === null ? '' : result.chosen.dwell_s;
}
