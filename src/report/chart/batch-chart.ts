import type { BatchResult, ScheduleKeys } from '../../analysis/batch/batch.ts';
import { approximateMeasure, type TextMeasure } from '../page/text-measure.ts';
import type { Drawing } from './drawing.ts';
import { clockTicks } from './time-ticks.ts';
import { type TimelineSpan, timeline } from './timeline.ts';

const DAY = 1440; // [min]
const HOUR = 60; // [min]
/** Rows of one drawing, so that it stays whole on a page. */
const MOST_ROWS = 24;

/** Between the days of one picture [mm]. */
export const DAY_GAP = 6;

/** A stretch of time [min since midnight of day 1]. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** The stretches in which a syringe is used: from its first shot to the end of its last takt, less the breaks. */
export function usedStretches(batch: BatchResult, use: ScheduleKeys): Stretch[] {
  const whole = { from: use.first_at_min, to: use.last_at_min + batch.takt_s / 60 };
  if (batch.shifts.length === 0) return [whole];
  const out: Stretch[] = [];
  for (let day = Math.floor(whole.from / DAY) - 1; day <= Math.floor(whole.to / DAY); day++) {
    for (const shift of batch.shifts) {
      const from = Math.max(whole.from, day * DAY + shift.from_min);
      const to = Math.min(whole.to, day * DAY + shift.to_min);
      if (to - from > 1e-6) out.push({ from, to });
    }
  }
  return out.sort((a, b) => a.from - b.from);
}

/** The stretch in which somebody mixes the kit of a syringe. */
export function mixingStretch(batch: BatchResult, use: ScheduleKeys): Stretch {
  return { from: use.mixed_at_min, to: use.mixed_at_min + batch.mixing_min };
}

/** First and last day on which something happens. */
export function daysOf(batch: BatchResult): number[] {
  const first = Math.floor(Math.min(...batch.schedule.map(s => s.mixed_at_min)) / DAY);
  const last = Math.floor(Math.max(...batch.schedule.map(s => s.last_at_min)) / DAY);
  return Array.from({ length: last - first + 1 }, (_, i) => first + i);
}

/** Whether a syringe waits or works on a day. */
export function touches(use: ScheduleKeys, day: number): boolean {
  return use.mixed_at_min < (day + 1) * DAY && use.last_at_min >= day * DAY;
}

/** The schedule as timelines, one for each day and each two dozen syringes. */
export function batchDrawings(batch: BatchResult, name: string, measure: TextMeasure = approximateMeasure): Drawing[] {
  return daysOf(batch).flatMap(day => {
    const uses = batch.schedule.filter(use => touches(use, day));
    const groups = Array.from({ length: Math.ceil(uses.length / MOST_ROWS) }, (_, i) =>
      uses.slice(i * MOST_ROWS, (i + 1) * MOST_ROWS),
    );
    return groups.map(group => dayDrawing(batch, group, { day, name }, measure));
  });
}

function dayDrawing(
  batch: BatchResult,
  uses: readonly ScheduleKeys[],
  { day, name }: { day: number; name: string },
  measure: TextMeasure,
): Drawing {
  const days = daysOf(batch).length;
  const several = batch.stations > 1;
  const ends = uses.flatMap(use => [use.mixed_at_min, use.last_at_min + batch.takt_s / 60]);
  const from = Math.max(day * DAY, Math.min(...ends));
  const to = Math.min((day + 1) * DAY, Math.max(...ends));
  const hour = (minute: number) => (Math.min(Math.max(minute, day * DAY), (day + 1) * DAY) - day * DAY) / HOUR;
  const rows = uses.map(use => ({
    name: `mix ${use.mixed_at}: kit ${use.kit}, syringe ${use.syringe}${several ? `, station ${use.station}` : ''}`,
    spans: spansOf(batch, use, day, hour),
  }));
  const rests = restsBetween(batch, { from, to }).map(rest => ({
    from: hour(rest.from),
    to: hour(rest.to),
    look: 'black' as const,
  }));
  const waits = rows.some(row => row.spans.some(span => span.look === 'hatched'));
  return timeline(
    {
      title: `Batch: ${name}, ${batch.connectors_started} connectors${days > 1 ? `, day ${day + 1}` : ''}`,
      x: { label: 'time of day', ticks: clockTicks(hour(from), hour(to)) },
      key: [
        ...(batch.mixing_min > 0 ? [{ look: 'crossed' as const, name: 'mixing' }] : []),
        ...(waits ? [{ look: 'hatched' as const, name: 'mixed, standing' }] : []),
        { look: 'outline' as const, name: 'at the station, with the connectors it makes' },
        ...(rests.length > 0 ? [{ look: 'black' as const, name: 'break' }] : []),
      ],
      rows: rests.length === 0 ? rows : [...rows, { name: 'breaks', spans: rests }],
    },
    180,
    measure,
  );
}

/** Crossed while it is mixed, hatched from then to the last connector, with the stretches of work as boxes on it. */
function spansOf(batch: BatchResult, use: ScheduleKeys, day: number, hour: (minute: number) => number): TimelineSpan[] {
  const work = usedStretches(batch, use).filter(s => s.from < (day + 1) * DAY && s.to > day * DAY);
  const waits: Stretch[] = [];
  const mixing = mixingStretch(batch, use);
  let at = mixing.to;
  for (const stretch of work) {
    if (stretch.from - at > 1e-6) waits.push({ from: at, to: stretch.from });
    at = stretch.to;
  }
  const longest = Math.max(0, ...work.map(s => s.to - s.from));
  const mixed = mixing.to > Math.max(mixing.from, day * DAY) && mixing.from < (day + 1) * DAY ? [mixing] : [];
  return [
    ...mixed.map(s => ({ from: hour(s.from), to: hour(s.to), look: 'crossed' as const })),
    ...waits.map(s => ({ from: hour(s.from), to: hour(s.to), look: 'hatched' as const })),
    ...work.map(s => ({
      from: hour(s.from),
      to: hour(s.to),
      ...(s.to - s.from === longest && { label: String(use.connectors) }),
    })),
  ];
}

/** The gaps between shifts inside a stretch. */
export function restsBetween(batch: BatchResult, { from, to }: Stretch): Stretch[] {
  if (batch.shifts.length === 0) return [];
  const out: Stretch[] = [];
  let at = Number.NEGATIVE_INFINITY;
  for (let day = Math.floor(from / DAY) - 1; day <= Math.floor(to / DAY) + 1; day++) {
    for (const shift of batch.shifts) {
      const rest = { from: Math.max(at, from), to: Math.min(day * DAY + shift.from_min, to) };
      if (Number.isFinite(at) && rest.to - rest.from > 1e-6) out.push(rest);
      at = day * DAY + shift.to_min;
    }
  }
  return out;
}
