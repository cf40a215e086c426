import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import type { CastroMacosko } from '../../../src/physics/cure/cure-model.ts';
import { conversionOfGlass, glassTransition } from '../../../src/physics/cure/glass.ts';
import { ovenCure } from '../../../src/physics/cure/oven-cure.ts';

const R = 8.31446261815324;
const nth = (n: number): CastroMacosko => ({
  ...{ model: 'castro-macosko', A1: 2.5e5, E1: 62e3, A2: 0, E2: 0, m: 1, n },
  ...{ gelConversion: 0.55, c1: 1.5, c2: 1 },
});
const hot = 373.15;
const k = 2.5e5 * Math.exp(-62e3 / (R * hot));
const flat = [
  [0, hot],
  [3600, hot],
] as const;
const glass = { uncured: 253.15, cured: 393.15, lambda: 0.4 };

describe('cure in the oven', () => {
  it('of first and second order at one temperature follows the closed forms', () => {
    expect(ovenCure({ cure: nth(1), profile: flat, start: 0 }).end).toBeCloseTo(1 - Math.exp(-k * 3600), 9);
    expect(ovenCure({ cure: nth(2), profile: flat, start: 0 }).end).toBeCloseTo(1 - 1 / (1 + k * 3600), 9);
    const from = ovenCure({ cure: nth(1), profile: flat, start: 0.2 });
    expect(from.at(1000)).toBeCloseTo(1 - 0.8 * Math.exp(-k * 1000), 9);
  });

  it('gels when the closed form says so, and not at all where it ends before', () => {
    const gel = -Math.log(1 - 0.55) / k;
    const profile = [[0, hot] as const, [2 * gel, hot] as const];
    expect((ovenCure({ cure: nth(1), profile, start: 0 }).gelTime ?? 0) / gel).toBeCloseTo(1, 8);
    const short = [[0, hot] as const, [gel / 2, hot] as const];
    expect(ovenCure({ cure: nth(1), profile: short, start: 0 }).gelTime).toBeNull();
    expect(ovenCure({ cure: nth(1), profile, start: 0.6 }).gelTime).toBe(0);
  });

  it('stops where the glass transition has run ahead of the oven', () => {
    const profile = [[0, 323.15] as const, [1e6, 323.15] as const];
    const cured = ovenCure({ cure: nth(1), profile, start: 0, glass });
    expect(glassTransition(glass, cured.end)).toBeCloseTo(333.15, 8);
    const rate = 2.5e5 * Math.exp(-62e3 / (R * 323.15));
    const hand = -Math.log(1 - conversionOfGlass(glass, 333.15)) / rate;
    expect((cured.vitrifiedTime ?? 0) / hand).toBeCloseTo(1, 8);
    expect(cured.at(hand * 2)).toBe(cured.end);
  });

  it('follows the oven while a glass softens, and no faster than the reaction', () => {
    // An hour at 50 °C (glass), then up to 80 °C within 10 hours: slow enough for T_g = T + 10 K all the way.
    const profile = [[0, 323.15] as const, [4e6, 323.15] as const, [4e6 + 360e3, 353.15] as const];
    const slow = ovenCure({ cure: nth(1), profile, start: 0, glass });
    expect(glassTransition(glass, slow.at(4e6 + 180e3))).toBeCloseTo(338.15 + 10, 6);
    expect(glassTransition(glass, slow.end)).toBeCloseTo(363.15, 6);
    // The same within a second: the reaction cannot follow, and the closed form from there on holds.
    const quick = ovenCure({
      cure: nth(1),
      profile: [[0, 323.15] as const, [4e6, 323.15] as const, [4e6 + 1, 353.15] as const, [4e6 + 601, 353.15] as const],
      ...{ start: 0, glass },
    });
    const rate = 2.5e5 * Math.exp(-62e3 / (R * 353.15));
    const left = (1 - conversionOfGlass(glass, 333.15)) * Math.exp(-rate * 600);
    expect(quick.end).toBeCloseTo(1 - left, 4);
    expect(quick.end).toBeLessThan(conversionOfGlass(glass, 363.15));
  });

  it('a cooling oven holds what the glass holds', () => {
    const profile = [[0, hot] as const, [7200, hot] as const, [9000, 296.15] as const];
    const cured = ovenCure({ cure: nth(1), profile, start: 0, glass });
    expect(cured.at(8900)).toBeCloseTo(cured.end, 6);
  });

  it('refuses a profile of one point and a start beyond 1', () => {
    expect(() => ovenCure({ cure: nth(1), profile: [[0, hot]], start: 0 })).toThrow(DomainError);
    expect(() => ovenCure({ cure: nth(1), profile: flat, start: 1.1 })).toThrow(DomainError);
  });
});

describe('glass transition', () => {
  it('runs from uncured to cured, and its inverse comes back', () => {
    expect(glassTransition(glass, 0)).toBe(253.15);
    expect(glassTransition(glass, 1)).toBeCloseTo(393.15, 10);
    // 253.15 + 140 · 0.4 · 0.5/(1 − 0.6 · 0.5) = 293.15 K, by hand.
    expect(glassTransition(glass, 0.5)).toBeCloseTo(293.15, 10);
    for (const alpha of [0.01, 0.4, 0.99]) {
      expect(conversionOfGlass(glass, glassTransition(glass, alpha))).toBeCloseTo(alpha, 12);
    }
    expect(conversionOfGlass(glass, 200)).toBe(0);
    expect(conversionOfGlass(glass, 500)).toBe(1);
  });

  it('refuses a cured transition below the uncured one', () => {
    expect(() => glassTransition({ ...glass, cured: 200 }, 0.5)).toThrow(DomainError);
    expect(() => glassTransition({ ...glass, lambda: 0 }, 0.5)).toThrow(DomainError);
  });
});
