import { atMost } from '../../numeric/limits.ts';
import { undominated } from './undominated.ts';
import type { WorkClock } from './work-clock.ts';

/** What the schedule is chosen for: least resin, or the earliest finish. */
export type BatchPrefer = 'waste' | 'finish';

export interface PlanProblem {
  readonly connectors: number;
  /** Stations that work side by side, takt for takt. */
  readonly stations: number;
  readonly syringesPerKit: number;
  /** Connectors that one syringe holds. */
  readonly capacity: number;
  /** Age of the first production shot and last age of any [s]; the last may be infinite. */
  readonly readyAfter: number;
  readonly lastAge: number;
  /** Where the last age depends on the time of the day at which a kit is mixed [s since midnight of day 1]. */
  readonly lastAgeAt?: ((mixedAt: number) => number) | undefined;
  readonly clock: WorkClock;
  readonly prefer: BatchPrefer;
}

/** Kits that are mixed at one time, and what is made of them. */
export interface Mixing {
  readonly mixedAt: number; // [s since midnight of day 1]
  readonly kits: number;
  /** Stations that work with them, from the first on. */
  readonly stations: number;
  /** First slot, and connectors made from there on, one a station and slot. */
  readonly slot: number;
  readonly connectors: number;
}

export interface BatchPlan {
  readonly mixings: readonly Mixing[];
  readonly kits: number;
  /** The slot after the last. */
  readonly end: number;
  /** The fewest kits that finish as early as can be. */
  readonly fastest: { readonly kits: number; readonly end: number };
}

/** How many stations share how many kits, and the syringes that each of them empties one after the other. */
interface Sharing {
  readonly stations: number;
  readonly kits: number;
  readonly rounds: number;
}

/** A way to have made `done` connectors by a slot. */
interface Label {
  readonly slot: number;
  readonly done: number;
  readonly mixing: Mixing | null;
  readonly before: Label | null;
}

/**
 * The schedule of fewest kits, and of those the one that finishes first; or with `prefer: 'finish'` the other way round. Null
 * where no kit can be used at all.
 *
 * All kits of a batch are alike, so resin wasted = kits·kit − connectors·(what a connector takes): least waste is fewest
 * kits. Stations change over together; a mixing may feed fewer stations than there are, and several syringes a station. A
 * kit is mixed as late as working time allows before its first slot, and used until its syringes are empty, it is too
 * old, or the batch is done.
 *
 * Exact for that: for each count of kits it keeps every (slot, connectors made) that no other reaches both earlier and
 * with as many. From a slot on, the next mixing starts at once, or waits for a later slot from which its kits make more
 * than from any slot before; another wait gives fewer connectors, later. With one station, leaving a kit before its end
 * never helps: the first connector of the next kit can always be made from this one instead.
 *
 * Evidence: tests compare with a search through every choice of first slots.
 */
export function planBatch(problem: PlanProblem): BatchPlan | null {
  const served = servedSlots(problem);
  const sharings = sharingsOf(problem);
  const fastest = fastestEnd(problem, served);
  if (fastest === null) return null;
  const frontiers: Label[][] = [[{ slot: problem.clock.firstSlot, done: 0, mixing: null, before: null }]];
  let fewest: Final | null = null;
  for (let kits = 1; kits <= fastest.kits; kits++) {
    const step = advance(problem, served, sharings, frontiers, kits);
    frontiers.push(step.labels);
    if (step.final === null) continue;
    fewest ??= { ...step.final, kits };
    if (step.final.end > fastest.end) continue;
    const early: Final = { ...step.final, kits };
    const chosen = problem.prefer === 'finish' ? early : fewest;
    return { mixings: chainOf(chosen), kits: chosen.kits, end: chosen.end, fastest: { kits, end: early.end } };
  }
  throw new Error('the schedule without waiting was not found again'); // it is among those searched
}

interface Final {
  readonly last: Mixing;
  readonly before: Label;
  readonly end: number;
  readonly kits: number;
}

type Served = (slot: number, rounds: number) => number;

/** How many slots kits serve whose first slot is this one; periodic but for the start of the batch. */
function servedSlots({ clock, readyAfter, lastAge, lastAgeAt, capacity }: PlanProblem): Served {
  const known = new Map<number | string, number>();
  return (slot, rounds) => {
    const mixed = clock.latestMixing(clock.slotTime(slot) - readyAfter);
    if (mixed === null) return 0;
    const inPeriod = ((slot % clock.period) + clock.period) % clock.period;
    // work that never rests has a period of one slot, and every slot another time of the day
    const key =
      lastAgeAt !== undefined && clock.shifts.length === 0 ? `${rounds} ${slot}` : rounds * clock.period + inPeriod;
    let count = known.get(key);
    if (count === undefined) {
      count = 0;
      const last = lastAgeAt === undefined ? lastAge : lastAgeAt(mixed);
      let beyond = rounds * capacity + 1; // ages grow with the slots: bisect
      while (beyond - count > 1) {
        const middle = Math.floor((count + beyond) / 2);
        if (atMost(clock.slotTime(slot + middle - 1) - mixed, last)) count = middle;
        else beyond = middle;
      }
      known.set(key, count);
    }
    return count;
  };
}

function sharingsOf({ stations, syringesPerKit, capacity, connectors }: PlanProblem): Sharing[] {
  const out: Sharing[] = [];
  for (let active = 1; active <= Math.min(stations, connectors); active++) {
    const most = Math.ceil(connectors / active / capacity); // more syringes than that are never needed
    let rounds = 0;
    for (let kits = Math.ceil(active / syringesPerKit); rounds < Math.min(most, syringesPerKit); kits++) {
      const now = Math.floor((kits * syringesPerKit) / active);
      if (now > rounds) out.push({ stations: active, kits, rounds: Math.min(now, most) });
      rounds = now;
    }
  }
  return out;
}

/** First slots from `from` on at which kits serve more slots than from any before, with that count. */
function* records(p: PlanProblem, served: Served, from: number, rounds: number): Generator<[number, number]> {
  let most = 0;
  const first = firstReady(p, from);
  for (let slot = first; slot <= first + 2 * p.clock.period; slot++) {
    const count = served(slot, rounds);
    if (count > most) yield [slot, count];
    most = Math.max(most, count);
    if (most === rounds * p.capacity) return;
  }
}

/** First slot from `from` on for which a kit can have been mixed; no kit serves those before, which may be very many. */
function firstReady({ clock, readyAfter }: PlanProblem, from: number): number {
  const ready = (slot: number) => clock.latestMixing(clock.slotTime(slot) - readyAfter) !== null;
  let low = from;
  let high = from + clock.period + Math.ceil(readyAfter / clock.takt) + 1;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (ready(middle)) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Every slot used that any kit could serve: nothing finishes earlier. */
function fastestEnd(p: PlanProblem, served: Served): { kits: number; end: number } | null {
  const stations = Math.min(p.stations, p.connectors);
  const kitsEach = Math.ceil(stations / p.syringesPerKit);
  const rounds = Math.floor((kitsEach * p.syringesPerKit) / stations);
  let slot = p.clock.firstSlot;
  let kits = 0;
  for (let done = 0; ; ) {
    const next = records(p, served, slot, rounds).next();
    if (next.done === true) return null;
    const [first, count] = next.value;
    kits += kitsEach;
    if (done + count * stations >= p.connectors)
      return { kits, end: first + Math.ceil((p.connectors - done) / stations) };
    done += count * stations;
    slot = first + count;
  }
}

function advance(
  p: PlanProblem,
  served: Served,
  sharings: readonly Sharing[],
  frontiers: readonly Label[][],
  kits: number,
): { labels: Label[]; final: Omit<Final, 'kits'> | null } {
  const reached: Label[] = [];
  let final: Omit<Final, 'kits'> | null = null;
  for (const sharing of sharings) {
    for (const label of frontiers[kits - sharing.kits] ?? []) {
      const left = p.connectors - label.done;
      for (const [slot, count] of records(p, served, label.slot, sharing.rounds)) {
        const connectors = Math.min(left, count * sharing.stations);
        const end = slot + Math.ceil(connectors / sharing.stations);
        const mixing = () => mixingAt(p, sharing, slot, connectors);
        if (connectors === left) {
          if (final === null || end < final.end) final = { last: mixing(), before: label, end };
          break; // another wait only finishes later
        }
        reached.push({ slot: end, done: label.done + connectors, mixing: mixing(), before: label });
      }
    }
  }
  return { labels: undominated(reached, label => label.slot), final };
}

function mixingAt(p: PlanProblem, { kits, stations }: Sharing, slot: number, connectors: number): Mixing {
  const mixedAt = p.clock.latestMixing(p.clock.slotTime(slot) - p.readyAfter)!; // served slots have one
  return { mixedAt, kits, stations, slot, connectors };
}

function chainOf({ last, before }: Final): Mixing[] {
  const mixings = [last];
  for (let at: Label | null = before; at !== null; at = at.before) if (at.mixing !== null) mixings.unshift(at.mixing);
  return mixings;
}
