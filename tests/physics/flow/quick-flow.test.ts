import { describe, expect, it } from 'vitest';
import { makeNeedle } from '../../../src/physics/flow/needle-flow.ts';
import { quickFlow } from '../../../src/physics/flow/quick-flow.ts';
import { thickened } from '../../../src/physics/rheology/rheology.ts';
import { thickenedScales } from '../../../src/physics/rheology/scaled-rheology.ts';
import { MODELS, relative } from './flow-models.ts';

const PLAIN = [{ front: 0.41e-3, rear: 0.41e-3, length: 12.7e-3 }];
const TAPERED = [
  { front: 1.6e-3, rear: 1.6e-3, length: 8e-3 },
  { front: 1.6e-3, rear: 0.6e-3, length: 18e-3 },
  { front: 0.5e-3, rear: 0.4e-3, length: 2e-3 },
];

describe('the quick flow', () => {
  it.each(Object.entries(MODELS))('is that of the needle itself, %s', (_name, rheology) => {
    for (const sections of [PLAIN, TAPERED]) {
      const needle = makeNeedle({ rheology, sections });
      const quick = quickFlow(needle);
      for (let excess = 90; excess < 1e6; excess *= 1.37) {
        const pressure = needle.yieldPressure + excess;
        // the needle's own solver stops at about 1e-12
        expect(relative(quick(pressure), needle.flow(pressure))).toBeLessThan(1e-10);
      }
    }
  });

  it.each(Object.entries(MODELS))('serves thicker resins at another scale, %s', (_name, rheology) => {
    const quick = quickFlow(makeNeedle({ rheology, sections: TAPERED }));
    for (const factor of [0.4, 1.9, 25]) {
      const needle = makeNeedle({ rheology: thickened(rheology, factor), sections: TAPERED });
      const { stress, rate } = thickenedScales({ shape: rheology, stress: 1, rate: 1 }, factor);
      for (let excess = 90 * stress; excess < 1e6; excess *= 2.37) {
        const pressure = needle.yieldPressure + excess;
        expect(relative(rate * quick(pressure / stress), needle.flow(pressure))).toBeLessThan(1e-10);
      }
    }
  });

  it('is zero at rest, and the same whatever was asked before', () => {
    const needle = makeNeedle({ rheology: MODELS['bingham']!, sections: PLAIN });
    const quick = quickFlow(needle);
    expect(quick(needle.yieldPressure)).toBe(0);
    expect(quick(-1e3)).toBe(0);
    const asked = quickFlow(needle);
    for (let pressure = 5e5; pressure > 2e3; pressure *= 0.7) asked(pressure);
    expect(asked(123e3)).toBe(quick(123e3));
  });
});
