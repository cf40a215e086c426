import type { Recipe } from '../../recipe/schema/recipe.ts';

/** Presses of the station's counter for one connector: two where the bore shot is a press by dwell as well. */
export function pressesPerShot({ process }: Recipe): 1 | 2 {
  return process?.bore_shot === 'by_dwell' ? 2 : 1;
}

/**
 * Age of the resin at a shot of a syringe that never rests [s]; shots from 1.
 *
 *   age = ready_after + (shot − 1)·takt
 *
 * Without a takt every shot is as old as the first.
 */
export function ageOfShot({ process }: Recipe, shot: number): number {
  return (process?.ready_after.value ?? 0) + (shot - 1) * (process?.takt?.value ?? 0);
}

/**
 * The shot nearest to an age [s], from 1; the later one of two equally near. The first where there is no takt.
 *
 *   shot = ⌊(age − ready_after)/takt + 1/2⌋ + 1, at least 1
 */
export function shotAtAge(recipe: Recipe, age: number): number {
  const takt = recipe.process?.takt?.value;
  if (takt === undefined) return 1;
  return Math.max(1, Math.floor((age - ageOfShot(recipe, 1)) / takt + 0.5) + 1);
}
