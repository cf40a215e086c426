import { describe, expect, it } from 'vitest';
import type { LoggedCheck } from '../../../src/analysis/follow/logged-release.ts';
import { earlierChecks } from '../../../src/analysis/follow/thickness-course.ts';
import type { ReleaseOptions } from '../../../src/analysis/release/release.ts';
import type { RandomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { just, LIMITS, narrow, noTrim, wide } from '../release/rate-cases.ts';
import { simulateChecks } from '../release/simulated-checks.ts';

const CHECKS = 120;
/** A rate of 2.5 % shows in so many checks at most: three standard errors above it. */
const most = CHECKS * 0.025 + 3 * Math.sqrt(CHECKS * 0.025 * 0.975);

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
        ...{ pressure: recipe.settings!.pressure!.value, dwell: recipe.settings!.dwell!.value },
      };
    });
    const next = { time: 2 * 86_400, syringe: 'S-9', needle: 'S-9', lot: 'L' };
    const options = { ...readingsOf(1), shot: 1, temperature: 296.15 };
    return { earlier: earlierChecks(recipe, checks, { ...next, options })! };
  };
}

describe('how often a check errs that counts those before it, simulated', () => {
  it('a good syringe is rejected in a fortieth of checks at most', () => {
    for (const [seed, method] of [{ masses: 3 }, { dots: 3 }].entries()) {
      const { rejected } = simulateChecks(wide, {
        ...{ checks: CHECKS / 2, seed: seed + 1, method, thickness: random => 1 + 0.05 * random.normal() },
        earlier: checksOfLot(wide),
      });
      expect(rejected).toBeLessThanOrEqual(most / 2);
    }
  });

  it.each([
    ['thick', { masses: 3 }, LIMITS.thickest],
    ['thin', { masses: 3 }, LIMITS.thinnest],
    ['thick', { dots: 3 }, LIMITS.thickest],
    ['thin', { dots: 3 }, LIMITS.thinnest],
  ] as const)('a syringe at its %s limit is used by %o in a fortieth of checks at most', (_, method, limit) => {
    const { checks, rejected } = simulateChecks(narrow, {
      ...{ checks: CHECKS, seed: 7, method, thickness: just(limit), options: noTrim },
      earlier: checksOfLot(narrow),
    });
    expect(checks - rejected).toBeLessThanOrEqual(most);
  });
});
