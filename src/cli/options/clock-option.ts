import { InvalidArgumentError } from 'commander';
import type { Shift } from '../../analysis/batch/work-clock.ts';

const DAY = 86_400; // [s]
const CLOCK = /^([01]?\d|2[0-3]):([0-5]\d)$/;

/** Parser of an option that is a time of the day, `08:00` [s since midnight]. */
export function clockTime(text: string): number {
  const [, hours, minutes] = CLOCK.exec(text.trim()) ?? [];
  if (hours === undefined || minutes === undefined) {
    throw new InvalidArgumentError('Write a time of the day as HH:MM, from 00:00 to 23:59.');
  }
  return Number(hours) * 3600 + Number(minutes) * 60;
}

/** Parser of a repeatable option that is a stretch of the day, `08:00-12:00`; it may pass midnight. */
export function collectShift(text: string, previous: readonly Shift[] | undefined): Shift[] {
  const ends = text.split(/[-\u2013]/);
  if (ends.length !== 2) throw new InvalidArgumentError('Write a shift as HH:MM-HH:MM, such as 08:00-12:00.');
  const [from, until] = [clockTime(ends[0]!), clockTime(ends[1]!.trim() === '24:00' ? '00:00' : ends[1]!)];
  const to = until > from ? until : until + DAY;
  return [...(previous ?? []), { from, to }];
}
