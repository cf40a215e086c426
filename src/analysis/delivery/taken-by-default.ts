import type { Recipe } from '../../recipe/schema/recipe.ts';
import { takenOf } from '../../recipe/schema/taken.ts';

/** What the window of the backfill rests on. */
const CONNECTOR = ['connector.protrusion', 'connector.allowance'];
/** What drives the resin, and how thick it is. */
const SHOT = [
  ...['needle.wall', 'needle.ends', 'resin.reference_temperature'],
  ...['station.air', 'station.syringe.plunger_friction', 'process.ready_after'],
];
/** What a run of a syringe rests on beside its shots. */
const RUN = [
  ...[...CONNECTOR, ...SHOT],
  ...['process.prime', 'process.bore_shot', 'station.syringe.left_over', 'station.ramp.stages'],
];

/** Keys that a result rests on and that have a default. What only corrects, such as `lot_factor`, is not there. */
const RESTS_ON = {
  cavity: CONNECTOR,
  shot: [...CONNECTOR, ...SHOT, 'connector.bore_contact_angle'],
  setpoint: [...RUN, 'process.practical_dwell'],
  run: RUN,
  spread: [...CONNECTOR, ...SHOT],
  gauge: [...CONNECTOR, 'process.ready_after'],
} as const;

/**
 * What a recipe leaves out and a result takes by default, as it would be written: `process.prime: 3`. Said is what is in a
 * block that the recipe has: without a station there is no prime to speak of.
 */
export function takenByDefault(recipe: Recipe, result: keyof typeof RESTS_ON): string[] {
  const keys: readonly string[] = RESTS_ON[result];
  const { connector, needle, resin, station, process } = recipe;
  return [connector, needle, resin, station, process].flatMap(takenOf).flatMap(({ path, written }) => {
    return keys.includes(path) ? [`${path}: ${written}`] : [];
  });
}
