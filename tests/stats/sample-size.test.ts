import { describe, expect, it } from 'vitest';
import { chanceOfAtMost, sampleSize, shownReliability } from '../../src/stats/sample-size.ts';

describe('sampleSize', () => {
  // Wilks, Ann. Math. Statist. 12 (1941) 91, the figures as safety analyses have them for one to four orders (from memory).
  it.each([
    [0.95, 0.95, [59, 93, 124, 153]],
    [0.95, 0.99, [299, 473, 628, 773]],
    [0.95, 0.9, [29, 46, 61, 76]],
  ] as const)(
    'with %d confidence for %d is the published one, by how many may fail',
    (confidence, reliability, sizes) => {
      for (const [allowed, pieces] of sizes.entries()) {
        expect(sampleSize({ confidence, reliability, allowed })).toBe(pieces);
      }
    },
  );

  it('without a failure is ln(1 − C)/ln(R), rounded up', () => {
    for (const confidence of [0.5, 0.8, 0.9, 0.95, 0.99]) {
      for (const reliability of [0.5, 0.8, 0.9, 0.97, 0.999]) {
        const closed = Math.ceil(Math.log(1 - confidence) / Math.log(reliability) - 1e-9);
        expect(sampleSize({ confidence, reliability, allowed: 0 })).toBe(closed);
      }
    }
  });

  it('is the least: one piece fewer does not show it', () => {
    for (const allowed of [1, 4, 17]) {
      const n = sampleSize({ confidence: 0.9, reliability: 0.97, allowed })!;
      expect(chanceOfAtMost({ bad: allowed, of: n, share: 0.03 })).toBeLessThanOrEqual(0.1 + 1e-12);
      expect(chanceOfAtMost({ bad: allowed, of: n - 1, share: 0.03 })).toBeGreaterThan(0.1);
    }
  });

  it('refuses what is no aim, and says null where nobody could sample so many', () => {
    expect(() => sampleSize({ confidence: 1, reliability: 0.95, allowed: 0 })).toThrow(/confidence/);
    expect(() => sampleSize({ confidence: 0.95, reliability: 0.95, allowed: -1 })).toThrow(/allowed/);
    expect(sampleSize({ confidence: 0.95, reliability: 1 - 1e-9, allowed: 0 })).toBeNull();
    expect(sampleSize({ confidence: 0.95, reliability: 0.95, allowed: Number.MAX_SAFE_INTEGER })).toBeNull();
  });
});

describe('chanceOfAtMost', () => {
  it('adds up the terms of Pascal’s triangle', () => {
    // (1 + 5 + 10)/32: at most two heads of five coins
    expect(chanceOfAtMost({ bad: 2, of: 5, share: 0.5 })).toBeCloseTo(16 / 32, 14);
    expect(chanceOfAtMost({ bad: 5, of: 5, share: 0.5 })).toBe(1);
  });
});

describe('shownReliability', () => {
  it('without a failure is (1 − C)^(1/n), and the inverse of the sample size with some', () => {
    expect(shownReliability({ bad: 0, of: 59, confidence: 0.95 })).toBeCloseTo(0.05 ** (1 / 59), 12);
    expect(shownReliability({ bad: 2, of: 124, confidence: 0.95 })).toBeGreaterThanOrEqual(0.95);
    expect(shownReliability({ bad: 2, of: 123, confidence: 0.95 })).toBeLessThan(0.95);
    expect(shownReliability({ bad: 3, of: 3, confidence: 0.95 })).toBe(0);
  });

  it('is kept by at least so many of all samples as the confidence says', () => {
    // Exact: of a process that is 97 % good, samples of 40 that claim more than that add up to at most 5 %.
    const chance = (bad: number) =>
      chanceOfAtMost({ bad, of: 40, share: 0.03 }) -
      (bad === 0 ? 0 : chanceOfAtMost({ bad: bad - 1, of: 40, share: 0.03 }));
    for (const confidence of [0.6, 0.9, 0.95]) {
      let wrong = 0;
      for (let bad = 0; bad <= 40; bad++)
        if (shownReliability({ bad, of: 40, confidence }) > 0.97) wrong += chance(bad);
      expect(wrong).toBeLessThanOrEqual(1 - confidence);
    }
  });
});
