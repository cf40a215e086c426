import { describe, expect, it } from 'vitest';
import { makeNeedle } from '../../../src/physics/flow/needle-flow.ts';
import { type Rheology, thickened } from '../../../src/physics/rheology/rheology.ts';
import { sameShape, scaledRheology, thickenedScales } from '../../../src/physics/rheology/scaled-rheology.ts';

const resins: Rheology[] = [
  { model: 'newtonian', viscosity: 2.4 },
  { model: 'power-law', consistency: 9.5, flowIndex: 0.71 },
  { model: 'herschel-bulkley', yieldStress: 85, consistency: 14, flowIndex: 0.62 },
  { model: 'herschel-bulkley', yieldStress: 0, consistency: 14, flowIndex: 0.62 },
  { model: 'bingham', yieldStress: 60, viscosity: 2.2 },
  { model: 'casson', yieldStress: 60, viscosity: 2.2 },
  { model: 'casson', yieldStress: 0, viscosity: 2.2 },
  { model: 'cross', zero: 12, infinity: 0.8, time: 0.05, m: 0.8 },
  { model: 'carreau-yasuda', zero: 12, infinity: 0.8, time: 0.05, a: 1.3, n: 0.4 },
  {
    model: 'table',
    points: [
      [0.1, 12],
      [10, 7],
      [1000, 2],
    ],
  },
];
const sections = [
  { front: 0.84e-3, rear: 0.84e-3, length: 6e-3 },
  { front: 0.84e-3, rear: 0.41e-3, length: 12e-3 },
];

describe.each(resins)('a $model resin as shape and scales', rheology => {
  const scaled = scaledRheology(rheology);

  it.each([1, 0.4, 3])('flows as the resin itself, %s times as thick', factor => {
    const { stress, rate } = thickenedScales(scaled, factor);
    const itself = makeNeedle({ rheology: thickened(rheology, factor), sections });
    const shape = makeNeedle({ rheology: scaled.shape, sections });
    expect(shape.yieldPressure * stress).toBeCloseTo(itself.yieldPressure, 8);
    for (const pressure of [3e4, 2.1e5, 6e5]) {
      // An identity: what is left is where the root finders and panels stop, 1e-13 or so.
      const expected = itself.flow(pressure);
      expect(Math.abs(rate * shape.flow(pressure / stress) - expected)).toBeLessThanOrEqual(1e-11 * expected);
    }
  });

  it('keeps its shape when it is thickened, and not when it is another', () => {
    if (rheology.model !== 'table')
      expect(sameShape(scaled.shape, scaledRheology(thickened(rheology, 2)).shape)).toBe(true);
    expect(resins.filter(other => sameShape(scaledRheology(other).shape, scaled.shape)).length).toBeLessThan(3);
  });
});
