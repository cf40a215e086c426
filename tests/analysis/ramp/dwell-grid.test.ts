import { describe, expect, test } from 'vitest';
import { dwellGrid } from '../../../src/analysis/ramp/dwell-grid.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const pressure = 210e3;

describe('the dwell by temperature and age', () => {
  test('is every kelvin of the tolerance, every 5 min from the first shot on', () => {
    const grid = dwellGrid(exampleRecipe(), { pressure })!;
    expect(grid.temperatures_C).toEqual([21, 22, 23, 24, 25]); // 23 ± 2 °C
    expect(grid.ages_min.slice(0, 4)).toEqual([12, 17, 22, 27]); // ready after 12 min
  });

  test('is what a ramp at that temperature has at that age, on a step of the station', () => {
    const recipe = exampleRecipe();
    const grid = dwellGrid(recipe, { pressure, temperatures: [294.15, 298.15] })!;
    grid.temperatures_C.forEach((celsius, t) => {
      const { shots, end } = ramp(recipe, { temperature: celsius + 273.15 }).result!;
      expect(grid.stop_min[t]).toBeCloseTo(end.age_min, 9);
      grid.ages_min.forEach((age, a) => {
        const shot = shots.find(({ age_min }) => Math.abs(age_min - age) < 1e-9); // every second one: a takt of 40 s
        if (shot !== undefined) expect(grid.dwell_s[t]![a]).toBeCloseTo(Math.round(shot.dwell_s * 100) / 100, 9);
        if (age > end.age_min) expect(grid.dwell_s[t]![a]).toBeNull();
      });
    });
  });

  test('goes with the viscosity as Arrhenius has it', () => {
    // Newtonian and ideal air: dwell ∝ viscosity; exp(E/R·(1/T₁ − 1/T₂)) with E = 60 kJ/mol, R = 8.314463 J/(mol.K) (CODATA).
    const fine = exampleRecipe({ 'station.dwell.step': 1e-5, 'station.ramp.add_step': 1e-2 });
    const grid = dwellGrid(fine, { pressure, temperatures: [293.15, 298.15] })!;
    const ratio = Math.exp((60e3 / 8.314463) * (1 / 293.15 - 1 / 298.15));
    expect(grid.dwell_s[0]![0]! / grid.dwell_s[1]![0]!).toBeCloseTo(ratio, 3);
  });

  test('is not there for a course of temperatures, unless some are named', () => {
    const course = exampleRecipe({
      'process.temperature': {
        profile: [
          [0, 295.15],
          [3600, 297.15],
        ],
      },
    });
    expect(dwellGrid(course, { pressure })).toBeNull();
    expect(dwellGrid(course, { pressure, temperatures: [296.15] })!.temperatures_C).toEqual([23]);
  });
});
