import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type PlanProblem, planBatch } from '../../../src/analysis/batch/batch-plan.ts';
import { type Shift, shiftProblems, workClock } from '../../../src/analysis/batch/work-clock.ts';

const hour = 3600;
const minute = 60;

function problem(
  rest: Partial<PlanProblem> & { shifts?: Shift[]; start?: number; takt?: number; mixing?: number },
): PlanProblem {
  const { shifts = [], start = 8 * hour, takt = 60, mixing = 0, ...own } = rest;
  return {
    connectors: 100,
    stations: 1,
    syringesPerKit: 1,
    capacity: 1000,
    readyAfter: 10 * minute,
    lastAge: 60 * minute,
    prefer: 'waste',
    clock: workClock({ start, shifts, takt, mixing }),
    ...own,
  };
}

/**
 * The least kits and then the earliest end, for one station, by trying every first slot of every kit and every number of
 * connectors up to what it can serve; the clock is read minute by minute, independent of the code under test.
 */
function exhaustive(
  p: PlanProblem,
  working: (time: number, length: number) => boolean,
  { start, mixing }: { start: number; mixing: number },
): { kits: number; end: number } | null {
  const takt = p.clock.takt;
  const mixedFor = (time: number): number | null => {
    for (let at = time - p.readyAfter; at >= start; at -= takt) if (working(at, mixing)) return at;
    return null;
  };
  const served = new Map<number, number>();
  const serve = (slot: number): number => {
    const known = served.get(slot) ?? countServed(slot);
    served.set(slot, known);
    return known;
  };
  const countServed = (slot: number): number => {
    const mixed = mixedFor(p.clock.slotTime(slot));
    if (mixed === null) return 0;
    let n = 0;
    while (n < p.capacity * p.syringesPerKit && p.clock.slotTime(slot + n) - mixed <= p.lastAge + 1e-6) n++;
    return n;
  };
  const first = p.clock.firstSlot;
  const horizon = first + (p.connectors + 2) * p.clock.period; // one kit a day at the least
  for (let kits = 1; kits <= p.connectors; kits++) {
    // most connectors made by each slot with so many kits, every slot of the horizon tried as a beginning
    let most = new Map<number, number>([[first, 0]]);
    let end: number | null = null;
    for (let k = 1; k <= kits; k++) {
      const next = new Map<number, number>();
      for (const [at, done] of most) {
        for (let slot = at; slot <= horizon; slot++) {
          const n = serve(slot);
          for (let made = 1; made <= n; made++) {
            if (k === kits && done + made >= p.connectors)
              end = Math.min(end ?? Number.POSITIVE_INFINITY, slot + p.connectors - done);
            else if (k < kits) next.set(slot + made, Math.max(next.get(slot + made) ?? 0, done + made));
          }
        }
      }
      most = next;
    }
    if (end !== null) return { kits, end };
  }
  return null;
}

describe('the schedule of least waste', () => {
  it('without breaks takes one kit after the other, each to its end', () => {
    // ready at 10 min, last shot at 60 min, one a minute: 51 connectors a kit; 120 = 51 + 51 + 18
    const plan = planBatch(problem({ connectors: 120 }))!;
    expect(plan.mixings.map(m => m.connectors)).toEqual([51, 51, 18]);
    expect(plan.kits).toBe(3);
    // the first shot 10 min after the start, then 120 connectors without a gap
    expect(plan.mixings.map(m => (m.mixedAt - 8 * hour) / minute)).toEqual([0, 51, 102]);
    expect(plan.end - plan.mixings[0]!.slot).toBe(120);
  });

  it('ends a syringe when it is empty', () => {
    const plan = planBatch(problem({ connectors: 50, capacity: 20 }))!;
    expect(plan.mixings.map(m => m.connectors)).toEqual([20, 20, 10]);
  });

  it('uses several syringes of one kit, all of them as old as the kit', () => {
    // three syringes of 20 would make 60, but the kit is too old after 51
    const plan = planBatch(problem({ connectors: 60, capacity: 20, syringesPerKit: 3 }))!;
    expect(plan.mixings.map(m => m.connectors)).toEqual([51, 9]);
  });

  it('waits for the end of a break where that saves a kit, and says what finishes first', () => {
    // 8:00 to 9:20 leaves 70 minutes after the first 10: 51 + 19, and the break outlives the second kit
    const shifts = [
      { from: 8 * hour, to: 9 * hour + 20 * minute },
      { from: 11 * hour, to: 15 * hour },
    ];
    const patient = planBatch(problem({ connectors: 102, shifts }))!;
    expect(patient.kits).toBe(2);
    expect(patient.mixings[1]!.mixedAt).toBe(11 * hour);
    // without waiting: 51 + 19 + 32 in three kits, finished 19 slots sooner
    expect(patient.fastest).toEqual({ kits: 3, end: patient.end - 19 });
    const quick = planBatch(problem({ connectors: 102, shifts, prefer: 'finish' }))!;
    expect(quick.mixings.map(m => m.connectors)).toEqual([51, 19, 32]);
  });

  it('mixes before a short break what is used after it, where that finishes first', () => {
    const shifts = [
      { from: 8 * hour, to: 8 * hour + 61 * minute },
      { from: 9 * hour + 11 * minute, to: 12 * hour },
    ];
    // the first kit ends with the shift; the second, mixed at its end, is ready when the break of 10 min is over
    const plan = planBatch(problem({ connectors: 102, shifts }))!;
    expect(plan.mixings.map(m => m.mixedAt / minute)).toEqual([480, 541]);
    expect(plan.mixings.map(m => m.connectors)).toEqual([51, 51]);
  });

  it('never uses a syringe beyond its last age, nor before it is ready', () => {
    fc.assert(
      fc.property(
        fc.record({
          connectors: fc.integer({ min: 1, max: 150 }),
          stations: fc.integer({ min: 1, max: 4 }),
          syringesPerKit: fc.integer({ min: 1, max: 3 }),
          capacity: fc.integer({ min: 1, max: 60 }),
          readyAfter: fc.integer({ min: 0, max: 30 }).map(m => m * minute),
          life: fc.integer({ min: 0, max: 90 }).map(m => m * minute),
          lunch: fc.integer({ min: 1, max: 120 }),
          prefer: fc.constantFrom('waste', 'finish'),
        }),
        r => {
          const shifts = [
            { from: 8 * hour, to: 12 * hour },
            { from: 12 * hour + r.lunch * minute, to: 16 * hour },
          ];
          const p = problem({ ...r, prefer: r.prefer as 'waste', lastAge: r.readyAfter + r.life, shifts });
          const plan = planBatch(p)!;
          let made = 0;
          let free = p.clock.firstSlot;
          for (const m of plan.mixings) {
            made += m.connectors;
            expect(m.slot).toBeGreaterThanOrEqual(free);
            free = m.slot + Math.ceil(m.connectors / m.stations);
            expect(p.clock.slotTime(m.slot) - m.mixedAt).toBeGreaterThanOrEqual(p.readyAfter);
            expect(p.clock.slotTime(free - 1) - m.mixedAt).toBeLessThanOrEqual(p.lastAge);
            const each = Math.ceil(m.connectors / m.stations);
            expect(Math.ceil(each / p.capacity) * m.stations - m.kits * p.syringesPerKit).toBeLessThanOrEqual(
              // the stations that make one connector less may need one syringe less
              m.connectors % m.stations === 0 ? 0 : m.stations - 1,
            );
          }
          expect(made).toBe(r.connectors);
          expect(free).toBe(plan.end);
          expect(plan.fastest.end).toBeLessThanOrEqual(plan.end);
          expect(plan.fastest.kits).toBeGreaterThanOrEqual(plan.kits);
        },
      ),
      { seed: 11, numRuns: 80 },
    );
  });

  it('agrees with a search through every choice of first slots', () => {
    fc.assert(
      fc.property(
        fc.record({
          connectors: fc.integer({ min: 1, max: 8 }),
          capacity: fc.integer({ min: 1, max: 6 }),
          ready: fc.integer({ min: 0, max: 3 }),
          life: fc.integer({ min: 0, max: 7 }),
          morning: fc.integer({ min: 2, max: 8 }),
          rest: fc.integer({ min: 1, max: 6 }),
          afternoon: fc.integer({ min: 2, max: 8 }),
          mixing: fc.integer({ min: 0, max: 3 }),
        }),
        r => {
          const [start, mixing] = [8 * hour, Math.min(r.mixing, r.ready) * minute];
          const ends = [480, 480 + r.morning, 480 + r.morning + r.rest, 480 + r.morning + r.rest + r.afternoon];
          const shifts = [
            { from: ends[0]! * minute, to: ends[1]! * minute },
            { from: ends[2]! * minute, to: ends[3]! * minute },
          ];
          const p = problem({
            ...{ connectors: r.connectors, capacity: r.capacity, shifts },
            ...{ readyAfter: r.ready * minute, lastAge: (r.ready + r.life) * minute, mixing },
          });
          const working = (time: number, length: number) => {
            const inDay = (time % (24 * hour)) / minute;
            const done = inDay + length / minute;
            return (inDay >= ends[0]! && done <= ends[1]!) || (inDay >= ends[2]! && done <= ends[3]!);
          };
          const found = planBatch(p);
          expect(found === null ? null : { kits: found.kits, end: found.end }).toEqual(
            exhaustive(p, working, { start, mixing }),
          );
        },
      ),
      { seed: 5, numRuns: 120 },
    );
  });

  it('is null where no kit is ready within the working hours', () => {
    const shifts = [{ from: 8 * hour, to: 9 * hour }];
    expect(planBatch(problem({ shifts, readyAfter: 2 * hour, lastAge: 3 * hour }))).toBeNull();
  });

  it('shares a kit between stations', () => {
    // one kit fills four syringes: two stations, two syringes each, 40 slots of two connectors
    const plan = planBatch(problem({ connectors: 80, stations: 2, syringesPerKit: 4, capacity: 20 }))!;
    expect(plan.mixings).toHaveLength(1);
    expect(plan.mixings[0]).toMatchObject({ kits: 1, stations: 2, connectors: 80 });
    expect(plan.end - plan.mixings[0]!.slot).toBe(40);
  });

  it('lets stations rest where that saves a kit', () => {
    // 51 connectors are one kit at one station; at three stations they would open three
    const plan = planBatch(problem({ connectors: 51, stations: 3 }))!;
    expect(plan).toMatchObject({ kits: 1, fastest: { kits: 3 } });
    expect(plan.fastest.end - plan.mixings[0]!.slot).toBe(17);
  });
});

describe('working time', () => {
  it('has room for the whole of a mixing in one shift', () => {
    const shifts = [
      { from: 8 * hour, to: 8 * hour + 3 * minute },
      { from: 9 * hour, to: 12 * hour },
      { from: 13 * hour, to: 16 * hour },
    ];
    const clock = workClock({ start: 8 * hour, shifts, takt: 60, mixing: 5 * minute });
    const latest = (time: number) => clock.latestMixing(time * hour)! / minute;
    expect([11, 11.99, 12.5, 13].map(latest)).toEqual([11 * 60, 11 * 60 + 55, 11 * 60 + 55, 13 * 60]);
    expect(clock.latestMixing(8.9 * hour)).toBeNull(); // the first shift is shorter than the mixing
  });

  it('begins no takt that does not end in the shift', () => {
    const clock = workClock({ start: 0, shifts: [{ from: 8 * hour, to: 8 * hour + 100 }], takt: 40, mixing: 0 });
    expect([0, 1, 2].map(slot => clock.slotTime(slot) - 8 * hour)).toEqual([0, 40, 24 * hour]);
  });

  it('passes midnight', () => {
    const clock = workClock({ start: 2 * hour, shifts: [{ from: 22 * hour, to: 30 * hour }], takt: hour, mixing: 0 });
    const times = [0, 1, 3, 4].map(i => clock.slotTime(clock.firstSlot + i) / hour);
    expect(times).toEqual([2, 3, 5, 22]);
  });

  it('joins shifts that touch, and finds those that overlap', () => {
    const touching = [
      { from: 8 * hour, to: 12 * hour },
      { from: 12 * hour, to: 16 * hour },
    ];
    expect(workClock({ start: 0, shifts: touching, takt: 60, mixing: 0 }).shifts).toEqual([
      { from: 8 * hour, to: 16 * hour },
    ]);
    expect(shiftProblems(touching, 60)).toEqual([]);
    expect(shiftProblems([...touching, { from: 15 * hour, to: 17 * hour }], 60)).toEqual([
      'shift 12:00-16:00 overlaps 15:00-17:00',
    ]);
    expect(
      shiftProblems(
        [
          { from: 20 * hour, to: 30 * hour },
          { from: 5 * hour, to: 9 * hour },
        ],
        60,
      ),
    ).toEqual(['shift 20:00-06:00 overlaps 05:00-09:00']);
    expect(shiftProblems([{ from: 0, to: 30 }], 60)).toHaveLength(1);
  });
});
