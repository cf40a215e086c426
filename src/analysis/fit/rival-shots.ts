import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inPercent, inWords, shortened } from '../../diagnostics/number-words.ts';
import { atMost } from '../../numeric/limits.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type OperatingPoint, operatingPoint } from '../delivery/operating-point.ts';
import type { FittedModel } from './fit-model.ts';
import { fittedRheology } from './fitted-block.ts';

/** AICc this near the best one tells nothing against a model; Burnham & Anderson, Model Selection, 2nd ed., sec. 2.6. */
const RIVAL = 4;
/** What rivals may differ by where the recipe has no tolerance [-]; *common practice, no source*. */
const USUAL_TOLERANCE = 0.1;

/** The recipe's own shot under the models that a flow curve cannot tell apart. */
export interface RivalShots {
  /** [m³], in the order of the models; null for one that is no rival, or whose shot cannot be worked out. */
  readonly volumes: readonly (number | null)[];
  /** What there is to say where they differ by more than the tolerance; null where they do not. */
  readonly finding: Finding | null;
}

/** Works out the shot of the released setting with each model of a fit within {@link RIVAL} of the best AICc put into the recipe. */
export function rivalShots(
  recipe: Recipe,
  models: readonly FittedModel[],
  measured: readonly [number, number],
): RivalShots {
  const best = models[0]?.aicc ?? null;
  const points = models.map(model => {
    const rival = best !== null && model.aicc !== null && model.aicc - best <= RIVAL;
    return rival ? pointWith(recipe, model) : null;
  });
  const { pressure, dwell } = recipe.settings ?? {};
  const setting =
    pressure === undefined || dwell === undefined ? null : { pressure: pressure.value, dwell: dwell.value };
  const volumes = points.map(point => (point === null || setting === null ? null : point.deliver(setting).volume));
  const told = volumes.flatMap((volume, i) =>
    volume === null ? [] : [{ volume, model: models[i]!, point: points[i]! }],
  );
  if (told.length < 2 || setting === null) return { volumes, finding: null };
  const [least, most] = [
    told.reduce((a, b) => (b.volume < a.volume ? b : a)),
    told.reduce((a, b) => (b.volume > a.volume ? b : a)),
  ];
  const tolerance = recipe.process?.tolerance?.value ?? USUAL_TOLERANCE;
  if (most.volume === 0 || atMost(most.volume / least.volume - 1, tolerance)) return { volumes, finding: null };
  const shear = told[0]!.point.steady(setting.pressure, null).wallShearRate;
  const sizes = [least, most].map(({ volume, model }) => `${inWords(volume, 'µL')} by ${model.name}`).join(' and ');
  const where = `a wall shear of ${shortened(shear, 3)} 1/s, measured from ${shortened(measured[0], 3)} to ${shortened(measured[1], 3)} 1/s`;
  const message = `the curve cannot tell the models apart, and the shot is ${sizes}, at ${where}; the tolerance is ${inPercent(tolerance)}`;
  return { volumes, finding: floorFinding('fit-rivals', null, message) };
}

function pointWith(recipe: Recipe, model: FittedModel): OperatingPoint | null {
  const rheology = fittedRheology(model);
  if (rheology === null || recipe.resin === undefined || recipe.needle === undefined) return null;
  return operatingPoint({ ...recipe, resin: { ...recipe.resin, rheology } }, {}, 'the shot of a fit').result;
}
