import { describe, expect, test } from 'vitest';
import type { FittedModel } from '../../../src/analysis/fit/fit-model.ts';
import { rivalShots } from '../../../src/analysis/fit/rival-shots.ts';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

/** A fit that ended, with so much of an AICc. */
function fitted(name: string, aicc: number, values: Readonly<Record<string, number>>): FittedModel {
  const parameters = Object.entries(values).map(([key, estimate]) => ({
    ...{ name: key, estimate, low: null, high: null, open: null, standard_error: null },
    ...{ fixed: false, at_bound: false },
  }));
  const rest = { residual_sd: 0.01, converged: true, residuals_pct: [], outliers: [], note: null };
  return { name, parameters, aicc, ...rest };
}

// A power law of n = 1 is Newtonian: 1.25 times as thick, four fifths of the shot.
const thin = fitted('newtonian', -50, { viscosity_Pa_s: 2.4 });
const thick = (aicc: number) => fitted('power-law', aicc, { K_Pa_s_n: 3, n: 1 });
const measured = [0.1, 100] as const;
const recipe = exampleRecipe();

describe('the shot under models that fit as well', () => {
  test('is the recipe’s own with each of them in its place: by hand 1/1.25 of it', () => {
    const { volumes } = rivalShots(recipe, [thin, thick(-46.5)], measured);
    expect(volumes[0]! * 1e9).toBeCloseTo(shot(recipe).result!.volume_uL, 9);
    expect(volumes[1]! / volumes[0]!).toBeCloseTo(0.8, 9);
  });

  test('is said where it differs by more than the tolerance, with the wall shear and what was measured', () => {
    const { finding } = rivalShots(recipe, [thin, thick(-46.5)], measured);
    expect(finding?.code).toBe('fit-rivals');
    const rate = shot(recipe).result!.wall_shear_rate_per_s;
    expect(finding?.message).toContain(`a wall shear of ${Number(rate.toPrecision(3))} 1/s, measured from 0.1 to 100`);
    const wide = exampleRecipe({ 'process.tolerance': 0.26 });
    expect(rivalShots(wide, [thin, thick(-46.5)], measured).finding).toBeNull();
  });

  test('counts those within 4 of the best AICc, not one further behind', () => {
    expect(rivalShots(recipe, [thin, thick(-46)], measured).volumes[1]).not.toBeNull();
    const behind = rivalShots(recipe, [thin, thick(-45.9)], measured);
    expect(behind).toMatchObject({ volumes: [expect.any(Number), null], finding: null });
  });

  test('is not told without settings, needle or AICc', () => {
    const bare = exampleRecipe({ 'settings.pressure': null });
    expect(rivalShots(bare, [thin, thick(-46.5)], measured)).toEqual({ volumes: [null, null], finding: null });
    const loose = exampleRecipe({ needle: null });
    expect(rivalShots(loose, [thin], measured).volumes).toEqual([null]);
    expect(rivalShots(recipe, [{ ...thin, aicc: null }], measured).volumes).toEqual([null]);
  });
});
