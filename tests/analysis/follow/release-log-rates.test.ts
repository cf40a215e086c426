import { describe, expect, it } from 'vitest';
import { LOGGED_RATE_CASES } from './log-rate-cases.ts';

const CHECKS = 100;
/** A rate of 2.5 % shows in so many checks at most: three standard errors above it. */
const most = CHECKS * 0.025 + 3 * Math.sqrt(CHECKS * 0.025 * 0.975);

describe('how often a check errs that counts those before it, simulated; more of them in release-log-rates.long.test.ts', () => {
  it.each(LOGGED_RATE_CASES)('$name in a fortieth of checks at most', ({ errors }) => {
    expect(errors(CHECKS)).toBeLessThanOrEqual(most);
  });
});
