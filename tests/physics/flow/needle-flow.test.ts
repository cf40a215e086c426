import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { makeNeedle, needleFlow, needlePressureDrop } from '../../../src/physics/flow/needle-flow.ts';
import { tubeFlowRate } from '../../../src/physics/flow/tube-flow.ts';
import { type Rheology, thickened, yieldStressOf } from '../../../src/physics/rheology/rheology.ts';
import { MODELS, relative } from './flow-models.ts';
import { wallStressForFlow } from './wall-stress-for-flow.ts';

const tube = (diameter: number, length: number) => ({ front: diameter, rear: diameter, length });
const RESIN = MODELS['newtonian']!;
const DENSITY = 1150; // [kg/m³]
/** Wide part, cone, narrow part: smooth all the way. */
const TAPERED = [tube(0.84e-3, 6e-3), { front: 0.84e-3, rear: 0.41e-3, length: 12e-3 }, tube(0.41e-3, 4e-3)];
/** With a step inwards behind the cone. */
const STEPPED = [...TAPERED.slice(0, 2), tube(0.3e-3, 5e-3)];

describe('ends', () => {
  // sampson-end: ratios COMPUTED from R_total = R_HP(1 + 3πa/(8L)) (Dagan, Weinbaum & Pfeffer 1982, from memory); 8 digits
  it('give the published rule for both openings', () => {
    const expected = [1.5890486, 1.2945243, 1.1178097, 1.0589049, 1.0294524, 1.011781];
    [1, 2, 5, 10, 20, 50].forEach((ratio, i) => {
      const needle = { rheology: RESIN, sections: [tube(0.4e-3, ratio * 0.4e-3)], flow: 1e-9 };
      const total = needlePressureDrop({ ...needle, ends: 'both' }) / needlePressureDrop({ ...needle, ends: 'none' });
      expect(relative(total, expected[i]!)).toBeLessThan(5e-8);
      const entrance = needlePressureDrop(needle) / needlePressureDrop({ ...needle, ends: 'none' });
      expect(relative(2 * (entrance - 1), total - 1)).toBeLessThan(1e-12); // entrance is the default, and half of both
    });
  });

  // 25 G × 12.7 mm, radius 0.1295 mm: extra length 0.1526 mm = 1.20 % for both openings (COMPUTED, 4 and 3 digits)
  it('are reported as a share of the lengthened length', () => {
    const sections = [tube(0.259e-3, 12.7e-3)];
    const both = needleFlow({ rheology: RESIN, sections, pressure: 1e5, density: DENSITY, ends: 'both' });
    const extra = (both.endShare * 12.7e-3) / (1 - both.endShare);
    expect(relative(extra, 0.1526e-3)).toBeLessThan(5e-4);
    expect(relative(extra / 12.7e-3, 0.012)).toBeLessThan(5e-3);
    const none = needleFlow({ rheology: RESIN, sections, pressure: 1e5, density: DENSITY, ends: 'none' });
    expect(none.endShare).toBe(0);
  });

  it.each(Object.entries(MODELS))('lengthen a tube of %s alike', (_, rheology) => {
    const flow = 2e-10;
    const [diameter, length] = [0.4e-3, 2e-3];
    const extra = (3 * Math.PI * (diameter / 2)) / 16;
    const corrected = needlePressureDrop({ rheology, sections: [tube(diameter, length)], flow });
    const longer = needlePressureDrop({ rheology, sections: [tube(diameter, length + extra)], flow, ends: 'none' });
    expect(relative(corrected, longer)).toBeLessThan(1e-12);
  });

  // Each opening costs (3π/8)·τw at its own radius; Newtonian τw = 4ηQ/(πR³).
  const opening = (diameter: number, flow: number) =>
    ((3 * Math.PI) / 8) * ((4 * 2.4 * flow) / (Math.PI * (diameter / 2) ** 3));
  const extraOf = (sections: { front: number; rear: number; length: number }[], ends: 'entrance' | 'both') => {
    const needle = { rheology: RESIN, sections, flow: 1e-9 };
    return needlePressureDrop({ ...needle, ends }) - needlePressureDrop({ ...needle, ends: 'none' });
  };

  it('stand at the entrance and at each sudden contraction, with the smaller radius', () => {
    const steps = [tube(1e-3, 5e-3), tube(0.6e-3, 5e-3), tube(0.4e-3, 5e-3)];
    const expected = opening(1e-3, 1e-9) + opening(0.6e-3, 1e-9) + opening(0.4e-3, 1e-9);
    expect(relative(extraOf(steps, 'entrance'), expected)).toBeLessThan(1e-10);
    expect(relative(extraOf(steps, 'both'), expected + opening(0.4e-3, 1e-9))).toBeLessThan(1e-10);
  });

  it('leave out the smooth start and end of a cone, and a widening', () => {
    expect(relative(extraOf(TAPERED, 'entrance'), opening(0.84e-3, 1e-9))).toBeLessThan(1e-10);
    expect(relative(extraOf(TAPERED, 'both'), opening(0.84e-3, 1e-9) + opening(0.41e-3, 1e-9))).toBeLessThan(1e-10);
    const widening = [tube(0.4e-3, 5e-3), tube(1e-3, 5e-3)];
    expect(relative(extraOf(widening, 'entrance'), opening(0.4e-3, 1e-9))).toBeLessThan(1e-10);
    const cone = [{ front: 0.84e-3, rear: 0.41e-3, length: 12e-3 }];
    expect(relative(extraOf(cone, 'both'), opening(0.84e-3, 1e-9) + opening(0.41e-3, 1e-9))).toBeLessThan(1e-10);
  });

  it('count a step behind a cone, but not a difference that unit conversion left', () => {
    expect(relative(extraOf(STEPPED, 'entrance'), opening(0.84e-3, 1e-9) + opening(0.3e-3, 1e-9))).toBeLessThan(1e-10);
    const nearly = [...TAPERED.slice(0, 2), tube(0.41e-3 * (1 - 1e-13), 4e-3)];
    expect(relative(extraOf(nearly, 'entrance'), opening(0.84e-3, 1e-9))).toBeLessThan(1e-10);
  });
});

describe.each(Object.entries(MODELS))('a needle of several sections with %s', (_, rheology) => {
  const needle = makeNeedle({ rheology, sections: STEPPED });

  it('finds the flow at which the sections add up to the pressure', () => {
    for (const pressure of [2e4, 2e5, 5e5]) {
      const flow = needle.flow(pressure);
      const along = (diameter: number, factor: number) =>
        factor * wallStressForFlow({ rheology, radius: diameter / 2, flow });
      const sum =
        along(0.84e-3, (2 * 6e-3) / 0.42e-3 + (3 * Math.PI) / 8) +
        needlePressureDrop({ rheology, flow, sections: [STEPPED[1]!], ends: 'none' }) +
        along(0.3e-3, (2 * 5e-3) / 0.15e-3 + (3 * Math.PI) / 8);
      expect(relative(sum, pressure)).toBeLessThan(1e-10);
    }
  });

  it('reports section pressures that add up, flowing and at rest', () => {
    for (const pressure of [3e3, 2e5]) {
      const { pressures } = needle.at({ pressure, density: DENSITY });
      expect(pressures).toHaveLength(3);
      expect(
        relative(
          pressures.reduce((a, b) => a + b),
          pressure,
        ),
      ).toBeLessThan(1e-10);
    }
  });

  it('comes back from flow to pressure, with the slope of a central difference', () => {
    for (const pressure of [3e4, 3e5]) {
      expect(relative(needle.pressure(needle.flow(pressure)), pressure)).toBeLessThan(1e-12);
      const h = 1e-4 * pressure;
      const difference = (needle.flow(pressure + h) - needle.flow(pressure - h)) / (2 * h);
      expect(relative(needle.slope(pressure), difference)).toBeLessThan(1e-4); // of order h²
    }
  });

  it('flows more at a higher pressure and a wider bore, and less when thicker or longer', () => {
    const range = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(
      fc.property(range(2e4, 5e5), range(1.01, 3), (pressure, more) => {
        const flow = needle.flow(pressure);
        const scaled = (width: number, length: number) =>
          STEPPED.map(s => ({ front: s.front * width, rear: s.rear * width, length: s.length * length }));
        return (
          flow > 0 &&
          needle.flow(pressure * more) > flow &&
          makeNeedle({ rheology, sections: scaled(more, 1) }).flow(pressure) > flow &&
          makeNeedle({ rheology, sections: scaled(1, more) }).flow(pressure) < flow &&
          makeNeedle({ rheology: thickened(rheology, more), sections: STEPPED }).flow(pressure) < flow
        );
      }),
      { seed: 1, numRuns: 40 },
    );
  });

  it('takes a straight tube by its closed form, split in two or not', () => {
    const [diameter, length, pressure] = [0.41e-3, 12.7e-3, 2e5];
    const wallShearStress = (pressure * diameter) / (4 * length);
    const expected = tubeFlowRate({ rheology, radius: diameter / 2, wallShearStress });
    for (const sections of [[tube(diameter, length)], [tube(diameter, 5e-3), tube(diameter, length - 5e-3)]]) {
      expect(relative(makeNeedle({ rheology, sections, ends: 'none' }).flow(pressure), expected)).toBeLessThan(1e-10);
    }
  });
});

describe('the yield pressure', () => {
  const plastics = Object.values(MODELS).filter(r => yieldStressOf(r) > 0);

  it('is that of all sections and ends together', () => {
    for (const rheology of plastics) {
      const needle = makeNeedle({ rheology, sections: STEPPED });
      const tubes = (2 * 6e-3) / 0.42e-3 + (2 * 5e-3) / 0.15e-3 + 2 * ((3 * Math.PI) / 8);
      const cone = (2 * 12e-3 * Math.log(0.42 / 0.205)) / 0.215e-3;
      expect(relative(needle.yieldPressure, yieldStressOf(rheology) * (tubes + cone))).toBeLessThan(1e-13);
      expect(needle.pressure(0)).toBe(needle.yieldPressure);
    }
  });

  it('stops the flow exactly, and starts it just above', () => {
    for (const rheology of plastics) {
      for (const sections of [STEPPED, [tube(0.41e-3, 12.7e-3)]]) {
        const needle = makeNeedle({ rheology, sections });
        expect(needle.flow(needle.yieldPressure)).toBe(0);
        expect(needle.flow(needle.yieldPressure * 0.99)).toBe(0);
        expect(needle.slope(needle.yieldPressure)).toBe(0);
        expect(needle.flow(needle.yieldPressure * (1 + 1e-6))).toBeGreaterThan(0);
      }
    }
  });

  it('leaves a full result at rest, with nulls and zeros instead of NaN', () => {
    const rheology = MODELS['bingham']!;
    const rest = needleFlow({ rheology, sections: [tube(0.41e-3, 12.7e-3)], pressure: 1000, density: DENSITY });
    expect(rest).toMatchObject({ flow: 0, wallShearRate: 0, wallViscosity: null, reynolds: 0, kineticShare: 0 });
    expect(rest.pressures).toEqual([1000]);
    // the stress that 1000 Pa puts on the wall of the lengthened tube
    expect(
      relative(rest.wallShearStress, (1000 * 0.41e-3) / (4 * (12.7e-3 + (3 * Math.PI * 0.205e-3) / 16))),
    ).toBeLessThan(1e-12);
    const still = needleFlow({ rheology: RESIN, sections: TAPERED, pressure: 0, density: DENSITY });
    expect(still).toMatchObject({ flow: 0, wallShearStress: 0, wallViscosity: 2.4, pressures: [0, 0, 0] });
    expect(Object.values(still).flat().some(Number.isNaN)).toBe(false);
  });
});

describe('values at the wall', () => {
  it('stand at the narrowest place, and are the true ones', () => {
    for (const rheology of Object.values(MODELS)) {
      const r = needleFlow({ rheology, sections: TAPERED, pressure: 2e5, density: DENSITY });
      const stress = wallStressForFlow({ rheology, radius: 0.205e-3, flow: r.flow });
      expect(relative(r.wallShearStress, stress)).toBeLessThan(1e-12);
      expect(r.wallViscosity).toBe(r.wallShearStress / r.wallShearRate);
      expect(r.wallShearRateRange[1]).toBe(r.wallShearRate);
      expect(r.wallShearRateRange[0]).toBeLessThan(r.wallShearRate);
    }
  });

  it('are 4Q/(πR³) for a Newtonian resin', () => {
    const r = needleFlow({ rheology: RESIN, sections: TAPERED, pressure: 2e5, density: DENSITY });
    expect(relative(r.wallShearRate, (4 * r.flow) / (Math.PI * 0.205e-3 ** 3))).toBeLessThan(1e-13);
    expect(relative(r.wallShearRateRange[0], (4 * r.flow) / (Math.PI * 0.42e-3 ** 3))).toBeLessThan(1e-13);
    expect(r.wallViscosity).toBeCloseTo(2.4, 12);
  });

  it('give 4ρQ/(πdη) as Reynolds number of a Newtonian resin, and ρv²/ΔP as kinetic share', () => {
    const r = needleFlow({ rheology: RESIN, sections: [tube(0.41e-3, 12.7e-3)], pressure: 2e5, density: DENSITY });
    expect(relative(r.reynolds, (4 * DENSITY * r.flow) / (Math.PI * 0.41e-3 * 2.4))).toBeLessThan(1e-13);
    const velocity = (4 * r.flow) / (Math.PI * 0.41e-3 ** 2);
    expect(relative(r.kineticShare, (DENSITY * velocity ** 2) / 2e5)).toBeLessThan(1e-13);
  });

  // Metzner & Reed 1955 (from memory): Re = ρ v^(2−n) dⁿ/(8^(n−1) K ((3n+1)/(4n))ⁿ), the same number as 8ρv²/τw
  it('give the Metzner–Reed number of a power law', () => {
    for (const [n, consistency] of [
      [0.4, 9.5],
      [0.71, 2],
      [1.3, 0.6],
    ] as const) {
      const rheology: Rheology = { model: 'power-law', consistency, flowIndex: n };
      const r = needleFlow({ rheology, sections: [tube(0.41e-3, 12.7e-3)], pressure: 2e5, density: DENSITY });
      const velocity = (4 * r.flow) / (Math.PI * 0.41e-3 ** 2);
      const metznerReed =
        (DENSITY * velocity ** (2 - n) * 0.41e-3 ** n) / (8 ** (n - 1) * consistency * ((3 * n + 1) / (4 * n)) ** n);
      expect(relative(r.reynolds, metznerReed)).toBeLessThan(1e-12);
    }
  });

  it('take the Reynolds number where it is largest, which thickening resins have at the wide end', () => {
    const rheology: Rheology = { model: 'power-law', consistency: 0.01, flowIndex: 1.8 };
    const r = needleFlow({ rheology, sections: TAPERED, pressure: 2e5, density: DENSITY });
    const at = (radius: number) =>
      (8 * DENSITY * (r.flow / (Math.PI * radius ** 2)) ** 2) / wallStressForFlow({ rheology, radius, flow: r.flow });
    expect(at(0.42e-3)).toBeGreaterThan(at(0.205e-3));
    expect(relative(r.reynolds, at(0.42e-3))).toBeLessThan(1e-12);
  });

  it('tell the steepest cone', () => {
    const r = needleFlow({ rheology: RESIN, sections: TAPERED, pressure: 1e5, density: DENSITY });
    expect(relative(Math.tan(r.halfAngleMax), 0.215 / 12)).toBeLessThan(1e-13);
    expect(needleFlow({ rheology: RESIN, sections: [tube(4e-4, 0.01)], pressure: 1, density: 1 }).halfAngleMax).toBe(0);
  });
});

describe('a ready needle', () => {
  it('is one multiplication for a Newtonian resin', () => {
    const needle = makeNeedle({ rheology: RESIN, sections: STEPPED });
    expect(needle.flow(3e5)).toBe(3e5 * needle.slope(1));
  });

  it('does not flow backwards, and refuses what is no number', () => {
    for (const rheology of Object.values(MODELS)) {
      const needle = makeNeedle({ rheology, sections: STEPPED });
      expect([needle.flow(0), needle.flow(-1e5), needle.flow(Number.NEGATIVE_INFINITY)]).toEqual([0, 0, 0]);
      expect(() => needle.flow(Number.NaN)).toThrow(DomainError);
      expect(() => needle.pressure(-1e-9)).toThrow(DomainError);
      expect(() => needle.pressure(Number.NaN)).toThrow(DomainError);
      expect(() => needle.at({ pressure: -1, density: DENSITY })).toThrow(DomainError);
      expect(() => needle.at({ pressure: 1, density: 0 })).toThrow(DomainError);
    }
  });

  it('refuses a needle that is none', () => {
    expect(() => makeNeedle({ rheology: RESIN, sections: [] })).toThrow(DomainError);
    for (const bad of [{ front: 0 }, { rear: Number.NaN }, { length: -1 }]) {
      expect(() => makeNeedle({ rheology: RESIN, sections: [{ ...tube(4e-4, 0.01), ...bad }] })).toThrow(DomainError);
    }
    expect(() => makeNeedle({ rheology: { model: 'newtonian', viscosity: -1 }, sections: TAPERED })).toThrow(
      DomainError,
    );
  });

  it('gives the same bits on every call, whatever was asked before', () => {
    const rheology = () => structuredClone(MODELS['cross']!);
    const fresh = makeNeedle({ rheology: rheology(), sections: STEPPED }).flow(2e5);
    const used = makeNeedle({ rheology: rheology(), sections: STEPPED });
    for (const pressure of [4e5, 1e3, 7e4]) used.flow(pressure);
    expect(used.flow(2e5)).toBe(fresh);
  });
});
