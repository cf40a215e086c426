import { describe, expect, it } from 'vitest';
import { planRehearsal } from '../../../src/analysis/rehearse/rehearsal.ts';
import { syringeModel } from '../../../src/analysis/release/syringe-model.ts';
import { settingAt } from '../../../src/analysis/setpoint/program-in-force.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { DEMO, demoRecipe } from './demo-recipes.ts';

/** Looked at with random shots, dwells and thicknesses. */
function expectAgreement(recipe: Recipe): void {
  const method = { kind: 'masses', readings: 3, shots: 5 } as const;
  const { model, ahead, program, way, target } = planRehearsal(recipe, { method }).result!;
  const exact = syringeModel(recipe, {}).result!;
  expect(way).toBe('quick');
  const random = randomSource(7);
  for (let i = 0; i < 6; i++) {
    const moment = ahead.shots[Math.floor(random.uniform() * ahead.shots.length)]!;
    const { pressure, dwell } = settingAt(program, moment.shot);
    const setting = { pressure, dwell: dwell * (0.8 + 0.4 * random.uniform()) };
    const thickness = 0.7 + 0.6 * random.uniform();
    const volume = exact.deliver(thickness, moment, setting);
    // Twice what the interpolation is held to at its own trial places; a step of dwell is some thirty times that.
    expect(model.deliver(thickness, moment, setting) / volume).toBeGreaterThan(1 - 6e-4);
    expect(model.deliver(thickness, moment, setting) / volume).toBeLessThan(1 + 6e-4);
    expect(Math.abs(model.thicknessOf(volume, moment, setting)! / thickness - 1)).toBeLessThan(2e-3);
    const wanted = { pressure, volume: target.aim };
    const due = exact.dwellFor(thickness, moment, wanted)!;
    expect(Math.abs(model.dwellFor(thickness, moment, wanted)! / due - 1)).toBeLessThan(2e-3);
  }
}

describe('a syringe along curves', () => {
  it.each(DEMO)('delivers, and is read, as the models have it: %s', async name => {
    expectAgreement(await demoRecipe(name));
  });

  it('does where air fills the syringe only within the dwells in question, which bends the shot', async () => {
    // 3.5 mL of ullage and hose through 0.02 dm³/(s.bar): full after about 0.3 s, between half and three times the dwells.
    const slow = `{model: iso6358, conductance: 0.02 dm^3/(s.bar), critical_ratio: 0.2, hose: {inside_diameter: 2.5 mm, length: 0.5 m}}`;
    const thick = '{model: bingham, yield_stress: 0.3 Pa, viscosity: 4.5 Pa.s}';
    expectAgreement(await demoRecipe(DEMO[0]!, [`station.air=${slow}`, `resin.rheology=${thick}`]));
  });
});
