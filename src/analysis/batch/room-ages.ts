import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mixedByClock } from '../delivery/room.ts';
import type { SyringeRun } from './syringe-run.ts';

const DAY = 86_400; // [s]
/** Mixing times between which the last age is looked up, not worked out [s]. */
const GRID = 600;

/**
 * The last age of a kit by the time at which it is mixed [s since midnight of day 1], the resin following `process.room`; undefined
 * without one. Between two times of the grid the lesser of both counts, so that no syringe is used too long.
 */
export function lastAgesByClock(recipe: Recipe, run: SyringeRun): ((mixedAt: number) => number) | undefined {
  if (recipe.process?.room === undefined) return undefined;
  const known = new Map<number, number>();
  const onGrid = (step: number): number => {
    const time = (((step * GRID) % DAY) + DAY) % DAY;
    let age = known.get(time);
    if (age === undefined) {
      const placed = mixedByClock(recipe, time, 'a batch').result;
      age = (placed === null ? null : run.lastAgeOf(placed)) ?? run.readyAfter;
      known.set(time, age);
    }
    return age;
  };
  return mixedAt => Math.min(onGrid(Math.floor(mixedAt / GRID)), onGrid(Math.ceil(mixedAt / GRID)));
}
