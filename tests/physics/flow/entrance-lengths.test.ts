import { describe, expect, it } from 'vitest';
import { boreFill } from '../../../src/physics/cavity/bore-fill.ts';
import { matchedNeedle } from '../../../src/physics/cavity/matched-needle.ts';
import { makeNeedle, needlePressureDrop } from '../../../src/physics/flow/needle-flow.ts';
import { MODELS, relative } from './flow-models.ts';

const R = 0.2e-3;
const plain = (length: number) => [{ front: 2 * R, rear: 2 * R, length }];

describe.each(Object.entries(MODELS))('an entrance of four radii, %s', (_, rheology) => {
  it('is a needle four radii longer without ends (Bagley 1957)', () => {
    const given = makeNeedle({ rheology, sections: plain(12e-3), entranceLengths: 4 });
    const longer = makeNeedle({ rheology, sections: plain(12e-3 + 4 * R), ends: 'none' });
    for (const pressure of [5e4, 2e5]) {
      expect(relative(given.flow(pressure), longer.flow(pressure))).toBeLessThan(1e-11);
      expect(given.at({ pressure, density: 1100 }).endShare).toBeCloseTo((4 * R) / (12e-3 + 4 * R), 12);
    }
  });

  it('is found back by Bagley’s plot: pressure over length at one flow meets zero at −N·R', () => {
    const at = (length: number) =>
      needlePressureDrop({ rheology, sections: plain(length), entranceLengths: 4, flow: 2e-9 });
    const [short, long] = [at(6e-3), at(18e-3)];
    const zero = 6e-3 - (short * 12e-3) / (long - short);
    expect(zero / R).toBeCloseTo(-4, 7);
  });
});

describe('entrance lengths', () => {
  const rheology = MODELS['newtonian']!;

  it('of 3π/16 are what an entrance has without them, to the last digit', () => {
    const sections = [{ front: 0.8e-3, rear: 0.8e-3, length: 5e-3 }, ...plain(8e-3)];
    const given = makeNeedle({ rheology, sections, entranceLengths: (3 * Math.PI) / 16 });
    expect(given.flow(1e5)).toBe(makeNeedle({ rheology, sections }).flow(1e5));
  });

  it('leave the exit as it is, and count at every narrowing', () => {
    const both = makeNeedle({ rheology, sections: plain(12e-3), ends: 'both', entranceLengths: 4 });
    const longer = makeNeedle({ rheology, sections: plain(12e-3 + (4 + (3 * Math.PI) / 16) * R), ends: 'none' });
    expect(relative(both.flow(1e5), longer.flow(1e5))).toBeLessThan(1e-13);
    const wide = { front: 0.8e-3, rear: 0.8e-3, length: 5e-3 };
    const stepped = makeNeedle({ rheology, sections: [wide, ...plain(8e-3)], entranceLengths: 4 });
    const parts = [[{ ...wide, length: 5e-3 + 4 * 0.4e-3 }], plain(8e-3 + 4 * R)].map(sections =>
      needlePressureDrop({ rheology, sections, ends: 'none', flow: 1e-9 }),
    );
    expect(relative(stepped.pressure(1e-9), parts[0]! + parts[1]!)).toBeLessThan(1e-13);
  });

  it('count in the bore shot and in the needle that matches it', () => {
    const cavity = [{ front: 126e-6, rear: 126e-6, length: 5.5e-3 }];
    const shot = { rheology, cavity, netPressure: 2e5, wantedBead: 20e-12 };
    const given = boreFill({ ...shot, needle: { sections: plain(12e-3), entranceLengths: 4 } });
    const longer = boreFill({ ...shot, needle: { sections: plain(12e-3 + 4 * R), ends: 'none' } });
    expect(relative(given.timeToBead!, longer.timeToBead!)).toBeLessThan(1e-13);
    // A power law of index 1 goes the way of all other resins: d from the equation, its length with four radii of its own.
    const thinning = { model: 'power-law', consistency: 9.5, flowIndex: 0.7 } as const;
    const found = matchedNeedle({ ...shot, rheology: thinning, backfill: 2e-9, length: 12e-3, entranceLengths: 4 })!;
    let bore = 0.3e-3;
    for (let i = 0; i < 60; i++) bore = (found * (12e-3 + 2 * bore)) ** 0.25;
    const needle = { sections: [{ front: bore, rear: bore, length: 12e-3 }], entranceLengths: 4 };
    const fill = boreFill({ ...shot, rheology: thinning, needle });
    const free = makeNeedle({ rheology: thinning, ...needle }).flow(2e5);
    expect(relative(free * fill.timeToWantedBead!, 2e-9)).toBeLessThan(1e-8);
  });
});
