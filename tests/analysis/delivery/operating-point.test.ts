import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { operatingPoint, prepareDelivery } from '../../../src/analysis/delivery/operating-point.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const AIRS = [
  { model: 'ideal' },
  { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01 },
  { model: 'iso6358', conductance: 3e-9, critical_ratio: 0.3 },
];
const RESINS = [
  { model: 'newtonian', viscosity: 2.4 },
  { model: 'power-law', K: 9.5, n: 0.71 },
  { model: 'bingham', yield_stress: 60, viscosity: 2.2 },
];

describe('an operating point', () => {
  it('finds the dwell and the pressure that deliver a volume, for every air and resin', () => {
    const cases = fc.tuple(fc.constantFrom(...AIRS), fc.constantFrom(...RESINS), fc.integer({ min: 40, max: 500 }));
    fc.assert(
      fc.property(cases, fc.double({ min: 0.05, max: 3, noNaN: true }), ([air, rheology, kPa], dwell) => {
        const recipe = exampleRecipe({
          ...{ 'station.air': air, 'resin.rheology': rheology },
          calibration: { viscosity_factor: 1.1, pressure_offset: 2e3, dead_time: 0.01 },
        });
        const point = operatingPoint(recipe).result!;
        const pressure = kPa * 1e3;
        const { volume } = point.deliver({ pressure, dwell });
        fc.pre(volume > 0);
        // time integrals are held to 1e-6
        expect(point.dwellFor({ pressure, volume })! / dwell).toBeCloseTo(1, 6);
        expect(point.pressureFor({ dwell, volume })! / pressure).toBeCloseTo(1, 6);
      }),
      { numRuns: 40, seed: 20261125 },
    );
  });

  it('delivers nothing at rest, and knows no dwell that would', () => {
    const point = operatingPoint(exampleRecipe({ 'resin.rheology': RESINS[2] })).result!;
    const rest = point.restPressure;
    expect(point.deliver({ pressure: rest, dwell: 10 }).volume).toBe(0);
    expect(point.dwellFor({ pressure: rest, volume: 1e-9 })).toBeNull();
    expect(point.deliver({ pressure: rest * 1.01, dwell: 10 }).volume).toBeGreaterThan(0);
  });

  it('says which models and defaults it used', () => {
    const point = operatingPoint(exampleRecipe({ 'process.temperature': null })).result!;
    expect(point.models).toEqual(['rheology newtonian', 'cure pot-life', 'air ideal']);
    expect(point.defaults.join('; ')).toContain('process.temperature: resin.reference_temperature (25 °C)');
    expect(point.defaults.join('; ')).toContain('needle.bore: gauge table, 22 G');
  });

  it('is prepared once for every age and fill', () => {
    const delivery = prepareDelivery(exampleRecipe({ 'station.air': AIRS[2] })).result!;
    const [full, half, empty] = delivery.syringeEnds();
    expect([full, half, empty]).toEqual([0, expect.closeTo(2.35e-6, 12), expect.closeTo(4.7e-6, 12)]);
    const early = delivery.at({ age: 720 }).result!;
    const late = delivery.at({ age: 720 + 3600 }).result!;
    expect(late.viscosityFactor / early.viscosityFactor).toBeCloseTo(2, 10); // one pot life of factor two later
  });
});
