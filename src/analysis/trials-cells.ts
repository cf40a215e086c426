import type { Recipe } from '../recipe/recipe.ts';
import type { Delivery } from './operating-point.ts';
import { spreadModel } from './spread-terms.ts';
import type { Levels } from './trials-levels.ts';
import { amounts, type Scatter, TRIALS_DEFAULTS, type TrialsOptions } from './trials-plan.ts';
import type { TrialCell } from './trials-precision.ts';

/** Scatter from shot to shot: as given, else what accuracy and jitter of the station make, else assumed. */
export function scatterOf(recipe: Recipe, options: TrialsOptions): Scatter {
  const given = options.repeatability;
  if (given !== undefined) return { from: 'given', at: () => given };
  const { pressure, dwell } = recipe.station ?? {};
  const model =
    pressure?.accuracy === undefined && dwell?.jitter === undefined ? null : spreadModel(recipe, options).result;
  if (model === null) return { from: 'assumed', at: () => TRIALS_DEFAULTS.repeatability };
  const own = ['pressure accuracy', 'dwell jitter'];
  return {
    from: 'recipe',
    at: setting =>
      Math.hypot(
        ...model
          .terms(setting)
          .filter(t => own.includes(t.cause))
          .map(t => t.relative),
      ),
  };
}

/** Every setting at every age, with the scatter of one weighing: that of its shots, and two roundings of the balance (δ/√12 each). */
export function cellsOf(
  delivery: Delivery,
  p: { ages: readonly number[]; levels: Levels; scatter: Scatter; options: TrialsOptions; density: number },
): TrialCell[] {
  const { shots } = amounts(p.options);
  return p.ages.flatMap(age => {
    const point = delivery.at({ age }).result!;
    return p.levels.pressures.flatMap(pressure =>
      p.levels.dwells.map((dwell): TrialCell => {
        const mass = point.deliver({ pressure, dwell }).volume * p.density * shots;
        const rounding = (p.options.readability ?? 0) / Math.sqrt(6) / mass;
        const scatter = Math.hypot(p.scatter.at({ pressure, dwell }) / Math.sqrt(shots), rounding);
        return { pressure, dwell, point, scatter: Math.max(scatter, 1e-6) };
      }),
    );
  });
}
