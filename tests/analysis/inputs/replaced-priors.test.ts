import { describe, expect, test } from 'vitest';
import { spreadInputs } from '../../../src/analysis/inputs/spread-inputs.ts';
import { spreadModel } from '../../../src/analysis/inputs/spread-terms.ts';
import { spread } from '../../../src/analysis/rehearse/spread.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const setting = { pressure: 210e3, dwell: 0.53 };
const doubt = (value: number, halfWidth: number) => ({ value, halfWidth, per: 'lot' });
const paths = (calibration: Record<string, unknown>, more: Record<string, unknown> = {}) =>
  spreadInputs(exampleRecipe({ calibration, ...more }), setting).flatMap(input => input.paths);

describe('what a calibration with a doubt stands in place of', () => {
  test('the lot’s viscosity, by the factor; not the needle, the room or the station', () => {
    const before = paths({ viscosity_factor: 1.05 });
    const after = paths({ viscosity_factor: doubt(1.05, 0.04) });
    expect(before).toContain('resin.rheology.viscosity');
    expect(before).not.toContain('calibration.viscosity_factor');
    const expected = before.filter(path => path !== 'resin.rheology.viscosity').concat('calibration.viscosity_factor');
    expect(new Set(after)).toEqual(new Set(expected));
  });

  test('friction that a syringe keeps, by the offset; friction that changes from shot to shot stays', () => {
    const friction = (per: string) => ({ 'station.syringe.plunger_friction': { value: 3e3, halfWidth: 1e3, per } });
    const calibration = { pressure_offset: doubt(2e3, 3e3) };
    expect(paths(calibration, friction('syringe'))).not.toContain('station.syringe.plunger_friction');
    expect(paths(calibration, friction('shot'))).toContain('station.syringe.plunger_friction');
    expect(paths({ pressure_offset: 2e3 }, friction('syringe'))).toContain('station.syringe.plunger_friction');
  });

  test('a dead time of 4 ± 9 ms counts 9/2 ms over what is open, by hand', () => {
    const recipe = exampleRecipe({ calibration: { dead_time: doubt(4e-3, 9e-3) } });
    const term = spreadModel(recipe)
      .result!.terms(setting)
      .find(({ path }) => path === 'calibration.dead_time')!;
    expect(term.relative).toBeCloseTo(4.5e-3 / (0.53 - 4e-3), 9); // V goes with dwell − dead time
  });

  test('in the setpoint’s spread: 4 % on 1.05 is 2 %/1.05 of the shot, in place of 7.5 % of the viscosity', () => {
    const of = (calibration: Record<string, unknown>) =>
      spreadModel(exampleRecipe({ calibration })).result!.terms(setting);
    const lot = of({ viscosity_factor: 1.05 }).find(({ cause }) => cause === 'lot')!;
    expect(lot.relative).toBeCloseTo(0.075, 4); // V goes with 1/η: 15 % at two standard deviations
    const terms = of({ viscosity_factor: doubt(1.05, 0.04) });
    expect(terms.filter(({ cause }) => cause === 'lot')).toEqual([]);
    expect(terms.find(({ cause }) => cause === 'calibration')!.relative).toBeCloseTo(0.02 / 1.05, 5);
  });

  test('in `spread`, first order and Monte Carlo alike', () => {
    const { result } = spread(exampleRecipe({ calibration: { viscosity_factor: doubt(1.05, 0.04) } }), {
      samples: 2000,
      seed: 5,
    });
    const inputs = result!.first_order.inputs.map(({ path }) => path);
    expect(inputs).toContain('calibration.viscosity_factor');
    expect(inputs).not.toContain('resin.rheology.viscosity');
    const [first, drawn] = [result!.first_order.relative_pct, result!.monte_carlo!.relative_pct];
    expect(Math.abs(drawn / first - 1)).toBeLessThan(0.06); // 2000 draws: 1.6 % of an sd, and first order is no more than that
  });
});
