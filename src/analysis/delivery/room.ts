import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import type { Process, Quantity, Recipe } from '../../recipe/schema/recipe.ts';

const DAY = 86_400; // [s]
/** So long after mixing the room is followed; no resin is used later [s]. */
const FOLLOWED = 2 * DAY;

/**
 * The recipe for resin that is mixed at a time of the day [s since midnight]: its temperature is that of `process.room` from
 * then on, straight between the times given and round midnight, in place of `process.temperature`.
 *
 * A syringe takes some minutes to follow the room; that is not counted.
 */
export function mixedByClock(recipe: Recipe, mixedAt: number, purpose: string): Outcome<Recipe> {
  const { process } = recipe;
  const room = process?.room;
  if (process === undefined || room === undefined) {
    return { result: null, findings: [blockMissing('process.room', purpose)] };
  }
  return { result: { ...recipe, process: { ...process, temperature: followed(room, mixedAt) } }, findings: [] };
}

type Room = NonNullable<Process['room']>;

function followed(room: Room, mixedAt: number): NonNullable<Process['temperature']> {
  const start = ((mixedAt % DAY) + DAY) % DAY;
  const profile: [Quantity, Quantity][] = [[age(0), atClock(room, start)]];
  for (let day = 0; day * DAY <= FOLLOWED + start; day++) {
    for (const [time, temperature] of room) {
      const passed = day * DAY + time - start;
      if (passed > 0 && passed <= FOLLOWED) profile.push([age(passed), temperature]);
    }
  }
  return { profile };
}

function age(value: number): Quantity {
  return { value, path: 'process.room', source: 'default' };
}

/** Temperature of the room at a time of the day [s since midnight]. */
function atClock(room: Room, time: number): Quantity {
  const next = room.find(([at]) => at >= time) ?? [room[0]![0] + DAY, room[0]![1]];
  if (next[0] === time) return next[1];
  const before = room.findLast(([at]) => at < time) ?? [room.at(-1)![0] - DAY, room.at(-1)![1]];
  const share = (time - before[0]) / (next[0] - before[0]);
  const value = before[1].value + share * (next[1].value - before[1].value);
  return { value, path: 'process.room', source: 'default' };
}
