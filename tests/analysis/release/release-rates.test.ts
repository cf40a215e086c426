import { describe, expect, it } from 'vitest';
import { LIMITS, RATE_CASES } from './rate-cases.ts';
import { simulateChecks } from './simulated-checks.ts';

const CHECKS = 150;
/** A rate of 2.5 % shows in so many checks at most: three standard errors above it. */
const most = CHECKS * 0.025 + 3 * Math.sqrt(CHECKS * 0.025 * 0.975);

describe('how often a check errs, simulated; more of them in release-rates.long.test.ts', () => {
  it('the program has limits that it can miss, on both sides of a good syringe', () => {
    expect(LIMITS.thinnest).toBeLessThan(0.97);
    expect(LIMITS.thickest).toBeGreaterThan(1.03);
  });

  it.each(RATE_CASES)('$name in a fortieth of checks at most', ({ recipe, errors, ...p }) => {
    expect(errors(simulateChecks(recipe, { ...p, checks: CHECKS }))).toBeLessThanOrEqual(most);
  });
});
