import { describe, expect, it } from 'vitest';
import { LOGGED_RATE_CASES } from './log-rate-cases.ts';

const CHECKS = 2000;
/** Three standard errors of a rate of 2.5 %. */
const error = 3 * Math.sqrt((0.025 * 0.975) / CHECKS);

describe('how often a check errs that counts those before it, simulated', () => {
  it.each(LOGGED_RATE_CASES)(
    '$name in a fortieth of checks at most',
    ({ errors }) => {
      expect(errors(CHECKS) / CHECKS).toBeLessThanOrEqual(0.025 + error);
    },
    1_200_000,
  );
});
