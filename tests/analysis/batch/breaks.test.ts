import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type BatchOptions, batch } from '../../../src/analysis/batch/batch.ts';
import { pooledBatch } from '../../../src/analysis/batch/pooled-batch.ts';
import type { Shift } from '../../../src/analysis/batch/work-clock.ts';
import { batchDrawings } from '../../../src/report/chart/batch-chart.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const MINUTE = 60;
const DAY = 1440; // [min]

/** Shifts of odd lengths with breaks of odd lengths between them, up to four a day, the last perhaps over midnight; whole minutes. */
const shiftsOf = fc
  .record({
    begin: fc.integer({ min: 0, max: 12 * 60 }),
    parts: fc.array(fc.tuple(fc.integer({ min: 15, max: 200 }), fc.integer({ min: 1, max: 90 })), {
      minLength: 1,
      maxLength: 4,
    }),
  })
  .map(({ begin, parts }) => {
    let at = begin;
    return parts.map(([work, rest]): Shift => {
      const shift = { from: at * MINUTE, to: (at + work) * MINUTE };
      at += work + rest;
      return shift;
    });
  })
  .filter(shifts => shifts.at(-1)!.to - shifts[0]!.from < DAY * MINUTE);

const work = fc.record({
  shifts: shiftsOf,
  begin: fc.option(fc.integer({ min: 0, max: DAY - 1 }), { nil: undefined }),
  connectors: fc.integer({ min: 1, max: 260 }),
  stations: fc.integer({ min: 1, max: 3 }),
  prefer: fc.constantFrom('waste' as const, 'finish' as const),
  kit: fc.constantFrom(undefined, 4, 9),
  needleLife: fc.constantFrom(undefined, 60),
  takt: fc.integer({ min: 20, max: 150 }),
  ready: fc.integer({ min: 0, max: 25 }),
  mixing: fc.option(fc.integer({ min: 0, max: 20 }), { nil: undefined }),
});

interface Work {
  readonly ready: number;
  readonly mixing: number | undefined;
  readonly takt: number;
}
const recipeOf = ({ ready, mixing, takt }: Work, more: Record<string, unknown> = {}) =>
  exampleRecipe({
    'process.ready_after': ready * MINUTE,
    'process.takt': takt,
    ...(mixing !== undefined && { 'process.mixing': Math.min(mixing, ready) * MINUTE }),
    ...more,
  });

/** Whether a stretch [min since midnight of day 1] lies in one shift; asked anew, shift by shift and day by day. */
function inShift(shifts: readonly Shift[], from: number, to: number): boolean {
  const day = Math.floor(from / DAY);
  return [day - 1, day].some(d =>
    shifts.some(s => from >= d * DAY + s.from / 60 - 1e-6 && to <= d * DAY + s.to / 60 + 1e-6),
  );
}

/** Spans of one meaning in a timeline, as its text says them: `8 to 8.1 mixing, …` [h]. */
function spansOf(alt: string, meaning: string): [number, number][] {
  return [...alt.matchAll(new RegExp(String.raw`(\d[\d.e-]*) to (\d[\d.e-]*) ${meaning}`, 'g'))].map(m => [
    +m[1]!,
    +m[2]!,
  ]);
}

describe('a break', () => {
  it('meets no mixing and no shot, whatever the shifts, breaks and batch, and its bar in the timeline no other', () => {
    let planned = 0;
    let [mixings, breaks] = [0, 0];
    fc.assert(
      fc.property(work, w => {
        const options: BatchOptions = {
          ...{ connectors: w.connectors, stations: w.stations, prefer: w.prefer, shifts: w.shifts },
          ...{ needleLife: w.needleLife, start: w.begin === undefined ? undefined : w.begin * MINUTE },
          ...(w.kit !== undefined && { kit: { kind: 'volume', value: w.kit * 1e-6 } }),
        };
        const { result, findings } = batch(recipeOf(w), options);
        if (result === null) {
          expect(findings.map(f => f.code)).toContain('batch-no-time');
          return;
        }
        planned++;
        mixings += result.mixes.length;
        for (const mix of result.mixes) {
          expect(inShift(w.shifts, mix.at_min, mix.at_min + result.mixing_min), `mixing at ${mix.at_min}`).toBe(true);
        }
        for (const use of result.schedule) {
          const takt = w.takt / 60;
          expect(use.first_at_min).toBeGreaterThanOrEqual(use.mixed_at_min + result.mixing_min - 1e-6);
          for (const at of [use.first_at_min, use.last_at_min]) expect(inShift(w.shifts, at, at + takt)).toBe(true);
        }
        for (const { alt } of batchDrawings(result, 'Odd hours')) {
          const rests = spansOf(alt, 'break');
          breaks += rests.length;
          const busy = [...spansOf(alt, 'mixing'), ...spansOf(alt, 'at the station')];
          expect(busy.length).toBeGreaterThan(0);
          for (const [from, to] of busy) {
            expect(rests.filter(rest => from < rest[1] - 1e-6 && to > rest[0] + 1e-6)).toEqual([]);
          }
        }
      }),
      { seed: 1200, numRuns: 220 },
    );
    expect(planned).toBeGreaterThan(200);
    expect(mixings).toBeGreaterThan(planned);
    expect(breaks).toBeGreaterThan(100);
  });

  it('meets none either where recipes share kits', () => {
    let planned = 0;
    fc.assert(
      fc.property(work, fc.integer({ min: 0, max: 12 }), (w, change) => {
        const members = [0, 1].map(i => ({
          file: `${i}.yaml`,
          recipe: recipeOf(w, { 'connector.reach.max': (12 + i / 10) * 1e-3 }),
        }));
        const options = {
          ...{ connectors: [Math.ceil(w.connectors / 4)], changeover: change * MINUTE, shifts: w.shifts },
          ...{ needleLife: w.needleLife, start: w.begin === undefined ? undefined : w.begin * MINUTE },
        };
        const { result, findings } = pooledBatch(members, options);
        if (result === null) {
          expect(findings.flat().map(f => f.code)).toEqual([expect.stringMatching(/batch-(no-time|option)/)]);
          return;
        }
        planned++;
        for (const mix of result.mixes)
          expect(inShift(w.shifts, mix.at_min, mix.at_min + result.mixing_min)).toBe(true);
        for (const { kit, parts } of result.schedule) {
          const mixed = result.mixes[kit - 1]!.at_min;
          for (const part of parts) {
            for (const age of [part.first_age_min, part.last_age_min]) {
              expect(inShift(w.shifts, mixed + age, mixed + age + w.takt / 60)).toBe(true);
            }
          }
        }
      }),
      { seed: 1230, numRuns: 60 },
    );
    expect(planned).toBeGreaterThan(40);
  });
});
