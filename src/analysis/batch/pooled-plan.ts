import { atMost } from '../../numeric/limits.ts';
import type { SyringeRun } from './syringe-run.ts';
import { undominated } from './undominated.ts';
import { type Shift, workClock } from './work-clock.ts';

/** Connectors of one recipe in a batch of several; SI. */
export interface PooledMember {
  readonly count: number;
  readonly takt: number; // [s]
  readonly run: Pick<SyringeRun, 'prime' | 'perConnector' | 'perNeedle' | 'readyAfter' | 'lastAge'>;
  /** Members with the same text share a needle. */
  readonly needle: string;
}

export interface PooledProblem {
  /** In the order in which they are made. */
  readonly members: readonly PooledMember[];
  readonly changeover: number; // [s]
  /** What a syringe gives, and how many a kit fills. */
  readonly usable: number; // [m³]
  readonly syringesPerKit: number;
  readonly start: number; // [s since midnight of day 1]
  /** How long somebody is busy with a kit [s]. */
  readonly mixing: number;
  readonly shifts: readonly Shift[];
}

/** Connectors of one member from one syringe. */
export interface PooledPart {
  readonly member: number;
  readonly connectors: number;
  readonly firstAt: number; // [s since midnight of day 1]
  readonly lastAt: number;
}

export interface PooledSyringe {
  readonly parts: readonly PooledPart[];
  readonly needles: number;
  readonly dispensed: number; // [m³]
  readonly endedBy: 'empty' | 'too old' | 'batch';
}

export interface PooledKit {
  readonly mixedAt: number;
  readonly syringes: readonly PooledSyringe[];
  /** Connectors made of the whole batch when it is laid aside, and when. */
  readonly done: number;
  readonly end: number;
}

const DAY = 86_400; // [s]
const GRACE = 1e-6; // [s]

/** Working time as it comes back every day, for work of any length. */
interface WorkTime {
  /** The earliest moment from `time` on at which work of that length ends inside its shift [s]. */
  earliest(time: number, length: number): number;
  /** See `WorkClock.latestMixing`. */
  latestMixing(time: number): number | null;
  readonly shifts: readonly Shift[];
}

function workTime({ start, shifts, mixing }: PooledProblem): WorkTime {
  const clock = workClock({ start, shifts, mixing, takt: 60 });
  const earliest = (time: number, length: number) => {
    if (clock.shifts.length === 0) return time;
    for (let day = Math.floor(time / DAY) - 1; ; day++) {
      for (const { from, to } of clock.shifts) {
        const begin = Math.max(time, day * DAY + from);
        if (begin + length <= day * DAY + to + GRACE) return begin;
      }
    }
  };
  return { earliest, latestMixing: clock.latestMixing, shifts: clock.shifts };
}

interface Label {
  readonly kit: PooledKit | null;
  readonly end: number;
  readonly done: number;
  readonly before: Label | null;
}

/**
 * The kits of a batch of several recipes of one resin, made one after the other by one station: the fewest kits, and of those the earliest
 * finish; null where a kit cannot be used at all.
 *
 * A syringe goes on through a changeover; it is laid aside when the next connector (with the prime of a new needle, where that has
 * another) would empty it or find it too old, and the next one of its kit is taken; a kit is mixed as late as working time allows.
 * For each count of kits every (time, connectors made) is kept that no other reaches both earlier and with as many. A kit starts at
 * once, with a shift, so soon as one mixed with a shift is ready, or so that it reaches its last age with the end of one.
 *
 * Evidence: tests compare with a search through starts at every minute.
 */
export function pooledPlan(problem: PooledProblem): PooledKit[] | null {
  const time = workTime(problem);
  const total = problem.members.reduce((sum, { count }) => sum + count, 0);
  let frontier: Label[] = [{ kit: null, end: problem.start, done: 0, before: null }];
  for (;;) {
    const reached: Label[] = [];
    for (const label of frontier) {
      for (const start of startsFrom(problem, time, label)) {
        const kit = kitFrom(problem, time, { start, done: label.done });
        if (kit !== null) reached.push({ kit, end: kit.end, done: kit.done, before: label });
      }
    }
    if (reached.length === 0) return null;
    const whole = reached.filter(({ done }) => done === total);
    if (whole.length > 0) return chainOf(whole.reduce((a, b) => (b.end < a.end ? b : a)));
    frontier = undominated(reached, label => label.end);
  }
}

/** Which member a connector (from 0) of the batch is of. */
function memberOf({ members }: PooledProblem, connector: number): number {
  let left = connector;
  for (const [i, { count }] of members.entries()) {
    if (left < count) return i;
    left -= count;
  }
  return members.length - 1;
}

/** Moments at which the next kit may have its first shot. */
function startsFrom(problem: PooledProblem, { shifts }: WorkTime, { end, done }: Label): number[] {
  const { readyAfter, lastAge } = problem.members[memberOf(problem, done)]!.run;
  const today = Math.floor(end / DAY);
  const later = [0, 1, 2].flatMap(day =>
    shifts.flatMap(({ from, to }) => [
      (today + day) * DAY + from,
      (today + day) * DAY + from + readyAfter,
      ...(Number.isFinite(lastAge) ? [(today + day) * DAY + to - (lastAge - readyAfter)] : []),
    ]),
  );
  return [end, ...new Set(later.filter(start => start > end))];
}

/** What one kit makes, its first shot from `start` on, so many connectors being done; null where it makes none. */
function kitFrom(
  problem: PooledProblem,
  time: WorkTime,
  { start, done: before }: { start: number; done: number },
): PooledKit | null {
  const { members, changeover, usable } = problem;
  const total = members.reduce((sum, { count }) => sum + count, 0);
  let done = before;
  let now = start;
  /** When the next connector can begin, not before an age of the resin. */
  const next = (mixedAt: number | null) => {
    const i = memberOf(problem, done);
    const { takt, run } = members[i]!;
    const changes = done > 0 && memberOf(problem, done - 1) !== i;
    const free = changes ? time.earliest(now, changeover) + changeover : now;
    const ready = mixedAt === null ? free : Math.max(free, mixedAt + run.readyAfter);
    return { i, takt, run, at: time.earliest(ready, takt) };
  };
  const mixedAt = mixingFor(
    problem,
    time,
    () => next(null),
    later => (now = later),
  );
  if (mixedAt === null) return null;
  const syringes: PooledSyringe[] = [];
  for (let k = 0; k < problem.syringesPerKit && done < total; k++) {
    const parts: PooledPart[] = [];
    let [needles, dispensed, sinceNeedle, needle] = [0, 0, 0, ''];
    let endedBy: PooledSyringe['endedBy'] = 'batch';
    while (done < total) {
      const { i, takt, run, at } = next(mixedAt);
      if (!atMost(at - mixedAt, run.lastAge)) {
        endedBy = 'too old';
        break;
      }
      const own = members[i]!.needle;
      const fresh = needle !== own || sinceNeedle >= run.perNeedle;
      const wanted = dispensed + (fresh ? run.prime : 0) + run.perConnector;
      if (!atMost(wanted, usable)) {
        endedBy = 'empty';
        break;
      }
      [dispensed, needle, sinceNeedle, needles] = [wanted, own, fresh ? 1 : sinceNeedle + 1, needles + (fresh ? 1 : 0)];
      const last = parts.at(-1);
      if (last?.member === i) parts[parts.length - 1] = { ...last, connectors: last.connectors + 1, lastAt: at };
      else parts.push({ member: i, connectors: 1, firstAt: at, lastAt: at });
      done++;
      now = at + takt;
    }
    if (parts.length > 0) syringes.push({ parts, needles, dispensed, endedBy });
    if (parts.length === 0 || endedBy === 'too old') break;
  }
  return done === before ? null : { mixedAt, syringes, done, end: now };
}

/** Mixed as late as working time allows before the first shot, which is put off until there is such a moment and the resin not too old. */
function mixingFor(
  { start, shifts }: PooledProblem,
  time: WorkTime,
  first: () => { at: number; run: PooledMember['run'] },
  putOff: (now: number) => void,
): number | null {
  const { at: soonest, run } = first();
  const today = Math.floor(soonest / DAY);
  const begins = [0, 1, 2].flatMap(day => shifts.map(({ from }) => (today + day) * DAY + from));
  const later = [start, ...begins].map(begin => begin + run.readyAfter).filter(moment => moment > soonest);
  for (const moment of [soonest, ...later.sort((a, b) => a - b)]) {
    if (moment > soonest) putOff(moment);
    const { at } = first();
    const mixed = time.latestMixing(at - run.readyAfter);
    if (mixed !== null && atMost(at - mixed, run.lastAge)) return mixed;
  }
  return null;
}

function chainOf(last: Label): PooledKit[] {
  const kits: PooledKit[] = [];
  for (let at: Label | null = last; at !== null; at = at.before) if (at.kit !== null) kits.unshift(at.kit);
  return kits;
}
