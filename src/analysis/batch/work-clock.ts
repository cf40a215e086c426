import { inMinutes } from '../../diagnostics/number-words.ts';
import { clockText } from './clock-text.ts';

/** A stretch of working time that comes back every day [s since midnight]; `to` passes 86400 over midnight. */
export interface Shift {
  readonly from: number;
  readonly to: number;
}

/** Working time cut into takts: slot p is the time in which every working station makes one connector. */
export interface WorkClock {
  readonly takt: number; // [s]
  /** The first slot of the batch. */
  readonly firstSlot: number;
  /** Slots after which the working hours repeat. */
  readonly period: number;
  /** Start of a slot [s since midnight of day 1]. */
  slotTime(slot: number): number;
  /** Last moment at or before a time at which a mixing can begin and end in one shift, not before the start of the batch; null when there is none. */
  latestMixing(time: number): number | null;
  /** The shifts, sorted, touching ones joined; empty when work never rests. */
  readonly shifts: readonly Shift[];
}

const DAY = 86_400; // [s]
const GRACE = 1e-6; // [s], for binary rounding of sums of takts

/** What is wrong with shifts, in words; empty when nothing is. */
export function shiftProblems(shifts: readonly Shift[], takt: number): string[] {
  const sorted = [...shifts].sort((a, b) => a.from - b.from);
  const out: string[] = [];
  sorted.forEach((shift, i) => {
    const next = sorted[i + 1] ?? { from: sorted[0]!.from + DAY };
    if (shift.to > next.from) {
      const other = sorted[i + 1] ?? sorted[0]!;
      out.push(`shift ${shiftText(shift)} overlaps ${other === shift ? 'itself' : shiftText(other)}`);
    }
  });
  const joined = joinedShifts(shifts);
  if (out.length === 0 && joined.length > 0 && joined.every(s => slotsIn(s, takt) === 0)) {
    out.push(`no shift is as long as the takt, ${inMinutes(takt)}`);
  }
  return out;
}

export function shiftText({ from, to }: Shift): string {
  return `${clockText(from)}-${clockText(to)}`;
}

/**
 * The working time of a batch from its start on. In every shift takts are counted from the beginning of the shift, and one that
 * does not end inside it is not begun. Without shifts work goes on without rest, its takts counted from the start.
 * Valid for: shifts without `shiftProblems`.
 */
export function workClock(p: ClockTimes): WorkClock {
  const shifts = joinedShifts(p.shifts);
  return shifts.length === 0 ? endlessClock(p) : shiftClock({ ...p, shifts });
}

interface ClockTimes {
  readonly start: number;
  readonly shifts: readonly Shift[];
  readonly takt: number;
  /** How long somebody is busy with a kit [s]. */
  readonly mixing: number;
}

function endlessClock({ start, takt }: ClockTimes): WorkClock {
  return {
    takt,
    firstSlot: 0,
    period: 1,
    shifts: [],
    slotTime: slot => start + slot * takt,
    latestMixing: time => (time >= start - GRACE ? Math.max(time, start) : null),
  };
}

function shiftClock({ start, shifts, takt, mixing }: ClockTimes): WorkClock {
  const counts = shifts.map(shift => slotsIn(shift, takt));
  const period = counts.reduce((a, b) => a + b, 0);
  const slotTime = (slot: number): number => {
    const day = Math.floor(slot / period);
    let rest = slot - day * period;
    let i = 0;
    while (rest >= counts[i]!) rest -= counts[i++]!;
    return day * DAY + shifts[i]!.from + rest * takt;
  };
  let firstSlot = -period; // a night shift may have begun the day before
  while (slotTime(firstSlot) < start - GRACE) firstSlot++;
  const latestMixing = (time: number): number | null => {
    const today = Math.floor(time / DAY);
    for (let day = today; day >= today - 2; day--) {
      for (const { from, to } of [...shifts].reverse()) {
        const moment = Math.min(time, day * DAY + to - mixing);
        if (moment < day * DAY + from - GRACE) continue;
        return moment >= start - GRACE ? Math.max(moment, start) : null;
      }
    }
    return null;
  };
  return { takt, firstSlot, period, shifts, slotTime, latestMixing };
}

function slotsIn({ from, to }: Shift, takt: number): number {
  return Math.floor((to - from) / takt + GRACE);
}

/** Sorted by beginning; shifts without a gap between them are one. */
function joinedShifts(shifts: readonly Shift[]): Shift[] {
  const joined: Shift[] = [];
  for (const shift of [...shifts].sort((a, b) => a.from - b.from)) {
    const last = joined.at(-1);
    if (last !== undefined && last.to === shift.from) joined[joined.length - 1] = { from: last.from, to: shift.to };
    else joined.push(shift);
  }
  return joined;
}
