/** Times of a day as people write them. */

const DAY = 86_400; // [s]

/** A time since midnight of day 1 [s] as the hour and minute of its day, to the nearest minute: "09:05". */
export function clockText(time: number): string {
  const minutes = Math.round(time / 60);
  const inDay = ((minutes % 1440) + 1440) % 1440;
  return `${String(Math.floor(inDay / 60)).padStart(2, '0')}:${String(inDay % 60).padStart(2, '0')}`;
}

/** The day on which a time since midnight of day 1 [s] falls, rounded as `clockText` does. */
export function clockDay(time: number): number {
  return Math.floor(Math.round(time / 60) / (DAY / 60)) + 1;
}
