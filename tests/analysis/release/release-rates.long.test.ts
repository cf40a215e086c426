import { describe, expect, it } from 'vitest';
import { RATE_CASES } from './rate-cases.ts';
import { simulateChecks } from './simulated-checks.ts';

const CHECKS = 2000;
/** Three standard errors of a rate of 2.5 %. */
const error = 3 * Math.sqrt((0.025 * 0.975) / CHECKS);

describe('how often a check errs, simulated', () => {
  it.each(RATE_CASES)('$name in a fortieth of checks at most', ({ recipe, errors, ...p }) => {
    const share = errors(simulateChecks(recipe, { ...p, checks: CHECKS })) / CHECKS;
    expect(share).toBeLessThanOrEqual(0.025 + error);
  });
});
