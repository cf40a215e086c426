import type { AxisTick } from './chart-spec.ts';

const TIME = /^(\d{4}-\d{2}-\d{2})(?:[T ](\d{2}:\d{2})\S*)?$/;

/**
 * Ticks for points that stand at 1, 2, 3 … and are named by their time: days where they span several, times of the day
 * where they are of one. Null where a name is no time.
 */
export function timeTicks(names: readonly string[], most = 7): AxisTick[] | null {
  const times = names.map(name => TIME.exec(name));
  if (names.length === 0 || times.some(t => t === null)) return null;
  const days = new Set(times.map(t => t![1]));
  const clock = days.size === 1 && times.every(t => t![2] !== undefined);
  const step = Math.ceil(names.length / most);
  const ticks: AxisTick[] = [];
  for (let i = 0; i < names.length; i += step) {
    const [, day, time] = times[i]!;
    ticks.push({ value: i + 1, label: clock ? time! : day! });
  }
  return ticks;
}

/** First and last day of names that are times, as the label of an axis says them. */
export function daysText(names: readonly string[]): string {
  const days = names.map(name => name.slice(0, 10)).sort();
  const [first, last] = [days[0]!, days.at(-1)!];
  return first === last ? first : `${first} to ${last}`;
}

/** Lengths of time between ticks of a clock [min]. */
const STEPS = [5, 10, 15, 30, 60, 120, 180, 240, 360, 720];

/** Clock times from before `from` to after `to` [h], at whole steps, as many as are read at ease. */
export function clockTicks(from: number, to: number, most = 9): AxisTick[] {
  const step = (STEPS.find(s => (60 * (to - from)) / s <= most - 1) ?? STEPS.at(-1)!) / 60;
  const [first, last] = [Math.floor(from / step + 1e-9), Math.ceil(to / step - 1e-9)];
  return Array.from({ length: Math.max(2, last - first + 1) }, (_, i) => {
    const minutes = Math.round((first + i) * step * 60);
    const two = (n: number) => String(n).padStart(2, '0');
    return { value: minutes / 60, label: `${two(Math.floor(minutes / 60))}:${two(minutes % 60)}` };
  });
}
