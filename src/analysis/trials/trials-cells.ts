import type { Recipe } from '../../recipe/schema/recipe.ts';
import type { Delivery, OperatingPoint } from '../delivery/operating-point.ts';
import type { ResinDot } from '../dot/dot.ts';
import { readDot } from '../dot/read-dot.ts';
import { slowViscosity } from '../dot/spreading-resin.ts';
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
    recipe: Recipe;
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
        const reading = p.dot === null || volume === 0 ? rounding : misread({ ...p, dot: p.dot }, { point, volume });
        const scatter = Math.hypot(p.scatter.at({ pressure, dwell }) / Math.sqrt(shots), reading);
        return { pressure, dwell, point, scatter: Math.max(scatter, 1e-6) };
      }),
    );
  });
}

/** Relative standard uncertainty [-] of the volume [m³] of a dot, read as it is at that age. */
function misread(
  { recipe, dot, options }: { recipe: Recipe; dot: ResinDot; options: TrialsOptions },
  at: { point: OperatingPoint; volume: number },
): number {
  const read = readDot(recipe, dot, slowViscosity(at.point.rheology));
  const halfWidth = options.readingError ?? dot.readingError;
  return (read.volumeOf(read.diameter(at.volume) + halfWidth) / at.volume - 1) / Math.sqrt(3);
}
