import type { LoggedCheck } from '../../../src/analysis/follow/logged-release.ts';
import { earlierChecks } from '../../../src/analysis/follow/thickness-course.ts';
import type { ReleaseOptions } from '../../../src/analysis/release/release.ts';
import type { RandomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { just, LIMITS, narrow, noTrim, wide } from '../release/rate-cases.ts';
import { type Method, type Simulated, simulateChecks } from '../release/simulated-checks.ts';

/** Two syringes of the lot were checked before, a day apart, each as thick as the recipe within 3 %. */
function checksOfLot(recipe: Recipe) {
  return (
    random: RandomSource,
    readingsOf: (thickness: number) => Partial<ReleaseOptions>,
  ): Partial<ReleaseOptions> => {
    const checks = [0, 1].map((i): LoggedCheck => {
      const { dots, masses, shots, lastDigit } = readingsOf(1 + 0.03 * random.normal());
      return {
        ...{
          line: i + 2,
          at: '',
          time: i * 86_400,
          syringe: `S-${i}`,
          needle: `S-${i}`,
          lot: 'L',
          operator: '',
          decision: '',
        },
        ...{ kind: dots === undefined ? 'masses' : 'dots', readings: (dots ?? masses)!, lastDigit: lastDigit ?? 1e-5 },
        ...{ shotsPerReading: shots ?? 3, age: null, shot: 1, temperature: 296.15, program: null },
        readingError: null,
        ...{ pressure: recipe.settings!.pressure!.value, dwell: recipe.settings!.dwell!.value },
      };
    });
    const next = { time: 2 * 86_400, syringe: 'S-9', needle: 'S-9', lot: 'L' };
    const options = { ...readingsOf(1), shot: 1, temperature: 296.15 };
    return { earlier: earlierChecks(recipe, checks, { ...next, options })! };
  };
}

interface LoggedRateCase {
  readonly name: string;
  /** How many of so many checks erred, each of which counts two before it of the same lot. */
  readonly errors: (checks: number) => number;
}

const used = ({ checks, rejected }: Simulated) => checks - rejected;
const SIDES = ['thick', 'thin'] as const;
const METHODS: readonly [string, Method][] = [
  ['3 weighings', { masses: 3 }],
  ['3 dots', { dots: 3 }],
];

/** Good syringes of a lot that others were checked of, and syringes at a limit of the program that none of the others is near. */
export const LOGGED_RATE_CASES: readonly LoggedRateCase[] = METHODS.flatMap(([by, method], i) => [
  {
    name: `a good syringe is rejected by ${by}`,
    errors: checks =>
      simulateChecks(wide, {
        ...{ checks, seed: i + 1, method, thickness: random => 1 + 0.05 * random.normal() },
        earlier: checksOfLot(wide),
      }).rejected,
  },
  ...SIDES.map(side => ({
    name: `a syringe at its ${side} limit is used by ${by}`,
    errors: (checks: number) =>
      used(
        simulateChecks(narrow, {
          ...{ checks, seed: 7, method, thickness: just(LIMITS[side === 'thick' ? 'thickest' : 'thinnest']) },
          ...{ options: noTrim, earlier: checksOfLot(narrow) },
        }),
      ),
  })),
]);
