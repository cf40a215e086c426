import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Delivery } from '../delivery/operating-point.ts';
import type { ResinDot } from '../dot/dot.ts';
import { spreadModel } from '../inputs/spread-terms.ts';
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

/**
 * Every setting at every age, with the scatter of one reading: that of its shots, and two roundings of the balance (δ/√12 each), or the
 * misreading of a dot (half-width/√3).
 */
export function cellsOf(
  delivery: Delivery,
  p: {
    ages: readonly number[];
    levels: Levels;
    scatter: Scatter;
    options: TrialsOptions;
    density: number;
    dot: ResinDot | null;
  },
): TrialCell[] {
  const { shots } = amounts(p.options);
  return p.ages.flatMap(age => {
    const point = delivery.at({ age }).result!;
    return p.levels.pressures.flatMap(pressure =>
      p.levels.dwells.map((dwell): TrialCell => {
        const volume = point.deliver({ pressure, dwell }).volume * shots;
        // Of a setting that delivers nothing the scatter is infinite; `trials` refuses it.
        const rounding = (p.options.readability ?? 0) / Math.sqrt(6) / (volume * p.density);
        const reading = p.dot === null || volume === 0 ? rounding : misread(p.dot, volume, p.options.readingError);
        const scatter = Math.hypot(p.scatter.at({ pressure, dwell }) / Math.sqrt(shots), reading);
        return { pressure, dwell, point, scatter: Math.max(scatter, 1e-6) };
      }),
    );
  });
}

/** Relative standard uncertainty [-] of the volume [m³] of a dot that is read to a half-width [m]. */
function misread(dot: ResinDot, volume: number, halfWidth = dot.readingError): number {
  const diameter = dot.drop(volume).seenDiameter;
  return (dot.dropOfDiameter(diameter + halfWidth).volume / volume - 1) / Math.sqrt(3);
}
