import { programRun } from '../../../src/analysis/ramp/program-run.ts';
import type { ReleaseOptions } from '../../../src/analysis/release/release.ts';
import type { RandomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import type { Method, Simulated } from './simulated-checks.ts';

/** A short run of the example, ended by its age so that a check takes no shot from it. */
const short = { 'process.stop_at': { age: 1500 } };
export const wide = exampleRecipe(short);
/** The same in a window that a check can miss. */
export const narrow = exampleRecipe({
  ...short,
  'needle.bore': 0.413e-3,
  'connector.reach': { min: 10.2e-3, max: 11.3e-3 },
});

/** Thickness at which the program in force of the narrow recipe just touches its window [-]. */
export const LIMITS = limitsOf(narrow);

function limitsOf(recipe: Recipe): { thinnest: number; thickest: number } {
  const { shots, plan } = programRun(recipe).result!;
  const { min, max } = plan.aim.book.backfill as { min: number; max: number };
  const volumes = shots.map(({ volume }) => volume);
  return { thinnest: Math.max(...volumes) / max, thickest: Math.min(...volumes) / min };
}

interface RateCase {
  readonly name: string;
  readonly recipe: Recipe;
  readonly method: Method;
  readonly seed: number;
  readonly thickness: (random: RandomSource) => number;
  readonly options?: Partial<ReleaseOptions>;
  /** How many checks of those erred. */
  readonly errors: (seen: Simulated) => number;
}

/** A syringe at a limit of the program is good once it is trimmed: so there is no trim. */
export const noTrim = { trimLimit: 1e-9 };
const used = ({ checks, rejected }: Simulated) => checks - rejected;
export const just = (limit: number) => () => limit * (limit > 1 ? 1 + 1e-9 : 1 - 1e-9);

export const RATE_CASES: readonly RateCase[] = [
  {
    name: 'a good syringe is rejected by 3 weighings',
    ...{ recipe: wide, method: { masses: 3 }, seed: 1, thickness: () => 1 },
    errors: ({ rejected }) => rejected,
  },
  {
    name: 'a good syringe is rejected by 3 dots',
    ...{ recipe: wide, method: { dots: 3 }, seed: 2, thickness: () => 1 },
    errors: ({ rejected }) => rejected,
  },
  {
    name: 'a syringe at the thick limit is used by 3 weighings',
    ...{ recipe: narrow, method: { masses: 3 }, seed: 3, thickness: just(LIMITS.thickest), options: noTrim },
    errors: used,
  },
  {
    name: 'a syringe at the thin limit is used by 3 weighings',
    ...{ recipe: narrow, method: { masses: 3 }, seed: 4, thickness: just(LIMITS.thinnest), options: noTrim },
    errors: used,
  },
  {
    name: 'a syringe at the thick limit is used by 3 dots',
    ...{ recipe: narrow, method: { dots: 3 }, seed: 5, thickness: just(LIMITS.thickest), options: noTrim },
    errors: used,
  },
  {
    name: 'a syringe of any thickness is used, trimmed or not, and truly leaves the window',
    ...{ recipe: narrow, method: { masses: 3 }, seed: 6, thickness: random => 0.7 + 0.7 * random.uniform() },
    errors: ({ wronglyUsed }) => wronglyUsed,
  },
];
