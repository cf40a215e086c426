import { describe, expect, it } from 'vitest';
import { operatingPoint } from '../../../src/analysis/delivery/operating-point.ts';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { yieldStressOf } from '../../../src/physics/rheology/rheology.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const R = 8.31446261815324;
const BINGHAM = { model: 'bingham', yield_stress: 60, viscosity: 2.2 };
const BASE = { 'resin.rheology': BINGHAM, 'resin.cure': { model: 'none' } };
const at = (temperature: number, overrides: Record<string, unknown>) =>
  operatingPoint(exampleRecipe({ ...BASE, ...overrides }), { temperature }).result!;

/** Buckingham and Reiner's flow through the needle of the example [m³/s], with its entrance of 3π/16 radii. */
function flow(p: { yieldStress: number; viscosity: number; net: number; bore: number }): number {
  const radius = p.bore / 2;
  const wall = (p.net * radius) / (2 * (12.7e-3 + ((3 * Math.PI) / 16) * radius));
  const phi = p.yieldStress / wall;
  return ((Math.PI * radius ** 3 * wall) / (4 * p.viscosity)) * (1 - (4 * phi) / 3 + phi ** 4 / 3);
}

describe('a yield stress with an activation energy of its own', () => {
  it('moves by that, and the plastic viscosity by its own', () => {
    const overrides = { 'resin.yield_activation_energy': 20e3, 'needle.bore': 0.41e-3 };
    const cold = at(288.15, overrides);
    const inverse = 1 / 288.15 - 1 / 298.15;
    const yieldStress = 60 * Math.exp((20e3 / R) * inverse);
    const viscosity = 2.2 * Math.exp((60e3 / R) * inverse);
    expect(yieldStressOf(cold.rheology)).toBeCloseTo(yieldStress, 9);
    const net = 210e3 - 3e3;
    expect(cold.steadyFlow(210e3) / flow({ yieldStress, viscosity, net, bore: 0.41e-3 })).toBeCloseTo(1, 9);
  });

  it('of the same energy as the viscosity is what there is without it', () => {
    const [given, none] = [{ 'resin.yield_activation_energy': 60e3 }, {}].map(one =>
      at(283.15, one).deliver({ pressure: 210e3, dwell: 0.5 }),
    );
    expect(given!.volume).toBe(none!.volume);
  });

  it.each([
    ['a lag of the air', { 'station.air': { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01 } }],
    ['ideal air', {}],
  ])('along a temperature profile is that of each moment: %s', (_, air) => {
    const profile = [
      [0, 283.15],
      [1800, 298.15],
    ];
    const overrides = { 'resin.yield_activation_energy': 10e3, ...air };
    const warming = exampleRecipe({ ...BASE, ...overrides, 'process.temperature': { profile } });
    const course = operatingPoint(warming, { age: 900 }).result!;
    const still = at(290.65, overrides);
    expect(course.temperature).toBeCloseTo(290.65, 9);
    const setting = { pressure: 210e3, dwell: 0.5 };
    expect(course.deliver(setting).volume / still.deliver(setting).volume).toBeCloseTo(1, 9);
  });
});

describe('the first shot after a pause', () => {
  const pasty = exampleRecipe({ 'resin.rebuild': { factor: 1.5, time: 300 }, 'resin.lot_factor': 1.1 });

  it('of a Newtonian resin with ideal air is smaller by the factor itself', () => {
    const [worked, rested] = [{}, { pause: 600 }].map(options => shot(pasty, options).result!);
    const factor = 1 + 0.5 * (1 - Math.exp(-2));
    expect(rested!.rebuild_factor).toBeCloseTo(factor, 12);
    expect(worked!.volume_uL / rested!.volume_uL).toBeCloseTo(factor, 9);
    expect(rested!.lot_factor).toBe(1.1);
    expect(worked!.rebuild_factor).toBeNull();
    expect(shot(pasty, { pause: 0 }).result!.volume_uL).toBe(worked!.volume_uL);
  });

  it('cannot be told of a resin that does not say how it rebuilds', () => {
    const { result, findings } = shot(exampleRecipe(), { pause: 60 });
    expect(result).toBeNull();
    expect(findings.map(({ code, path }) => [code, path])).toEqual([['block-missing', 'resin.rebuild']]);
  });
});
