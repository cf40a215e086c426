import { atMost } from '../../numeric/limits.ts';
import type { BatchPlan, Mixing } from './batch-plan.ts';
import { clockDay, clockText } from './clock-text.ts';
import { dispensedBy, needlesFor, type SyringeRun } from './syringe-run.ts';
import type { WorkClock } from './work-clock.ts';

/** Why a syringe is laid aside: empty, too old (after the key that says so), too old after a break, or nothing left to do. */
export type SyringeEnd = 'empty' | 'break' | 'batch' | NonNullable<SyringeRun['endedBy']>;

export interface MixKeys {
  readonly kit: number;
  /** When to mix, to the minute. */
  readonly at: string;
  readonly day: number;
  /** The same in full precision, since midnight of day 1. */
  readonly at_min: number;
  readonly for_syringes: readonly number[];
}

export interface ScheduleKeys {
  readonly syringe: number;
  readonly kit: number;
  readonly station: number;
  readonly mixed_at: string;
  readonly mixed_day: number;
  /** First and last shot. */
  readonly first_at: string;
  readonly first_day: number;
  readonly last_at: string;
  readonly last_day: number;
  readonly mixed_at_min: number;
  readonly first_at_min: number;
  /** Beginning of the last connector. */
  readonly last_at_min: number;
  readonly first_age_min: number;
  readonly last_age_min: number;
  readonly connectors: number;
  readonly needles: number;
  /** Prime included. */
  readonly dispensed_mL: number;
  /** Of its fill, all that is in no connector. */
  readonly wasted_mL: number;
  readonly ended_by: SyringeEnd;
}

interface Input {
  readonly plan: BatchPlan;
  readonly run: SyringeRun;
  readonly clock: WorkClock;
  readonly kit: { readonly fill: number; readonly syringes: number };
  readonly connectors: number;
  /** Last age of a kit by the time of its mixing [s]. */
  readonly lastAgeAt: (mixedAt: number) => number;
}

/** The plan syringe by syringe and kit by kit. */
export function scheduleOf(input: Input): { mixes: MixKeys[]; schedule: ScheduleKeys[] } {
  const mixes: MixKeys[] = [];
  const schedule: ScheduleKeys[] = [];
  input.plan.mixings.forEach((mixing, i) => {
    const last = i === input.plan.mixings.length - 1;
    const syringes = syringesOf(input, mixing);
    syringes.forEach((part, k) => {
      const syringe = schedule.length + 1;
      if (k % input.kit.syringes === 0) mixes.push(mixKeys(mixes.length + 1, mixing.mixedAt));
      const kit = mixes.at(-1)!;
      mixes[mixes.length - 1] = { ...kit, for_syringes: [...kit.for_syringes, syringe] };
      schedule.push(syringeKeys(input, { syringe, kit: kit.kit, mixing, part, last }));
    });
  });
  return { mixes, schedule };
}

interface Part {
  readonly station: number; // from 1
  /** Slots of the mixing that its station has worked before it. */
  readonly before: number;
  readonly connectors: number;
  /** The station does not go on after it in this mixing. */
  readonly final: boolean;
}

/** The syringes of a mixing: round by round, each round station by station. */
function syringesOf({ run }: Input, { connectors, stations }: Mixing): Part[] {
  const share = (station: number) => Math.floor(connectors / stations) + (station <= connectors % stations ? 1 : 0);
  const parts: Part[] = [];
  for (let before = 0; before < share(1); before += run.capacity) {
    for (let station = 1; station <= stations; station++) {
      const left = share(station) - before;
      if (left <= 0) continue;
      parts.push({ station, before, connectors: Math.min(left, run.capacity), final: left <= run.capacity });
    }
  }
  return parts;
}

function mixKeys(kit: number, mixedAt: number): MixKeys {
  return { kit, at: clockText(mixedAt), day: clockDay(mixedAt), at_min: mixedAt / 60, for_syringes: [] };
}

interface Use {
  readonly syringe: number;
  readonly kit: number;
  readonly mixing: Mixing;
  readonly part: Part;
  readonly last: boolean;
}

function syringeKeys(input: Input, use: Use): ScheduleKeys {
  const { run, clock, kit } = input;
  const { mixing, part } = use;
  const firstSlot = mixing.slot + part.before;
  const firstAt = clock.slotTime(firstSlot);
  const lastAt = clock.slotTime(firstSlot + part.connectors - 1);
  const { mixedAt } = mixing;
  const needles = needlesFor(part.connectors, run.perNeedle);
  const dispensed = dispensedBy({ ...run, connectors: part.connectors });
  return {
    ...{ syringe: use.syringe, kit: use.kit, station: part.station },
    ...{ mixed_at: clockText(mixedAt), mixed_day: clockDay(mixedAt) },
    ...{ first_at: clockText(firstAt), first_day: clockDay(firstAt) },
    ...{ last_at: clockText(lastAt), last_day: clockDay(lastAt) },
    ...{ mixed_at_min: mixedAt / 60, first_at_min: firstAt / 60, last_at_min: lastAt / 60 },
    ...{ first_age_min: (firstAt - mixedAt) / 60, last_age_min: (lastAt - mixedAt) / 60 },
    ...{ connectors: part.connectors, needles },
    dispensed_mL: dispensed * 1e6,
    wasted_mL: (kit.fill - part.connectors * run.perConnector) * 1e6,
    ended_by: endOf(input, use, firstSlot + part.connectors),
  };
}

function endOf({ run, clock, lastAgeAt }: Input, { part, mixing, last }: Use, next: number): SyringeEnd {
  if (part.connectors === run.capacity) return 'empty';
  if (last && part.final) return 'batch';
  const unbroken = clock.slotTime(next - 1) + clock.takt - mixing.mixedAt; // its age at the next shot without a break
  return atMost(unbroken, lastAgeAt(mixing.mixedAt)) ? 'break' : (run.endedBy ?? 'break');
}
