import { describe, expect, test } from 'vitest';
import { DomainError } from '../../src/numeric/domain-error.ts';
import { fitLeastSquares, type LeastSquaresProblem } from '../../src/numeric/least-squares.ts';
import { profileInterval } from '../../src/numeric/profile-interval.ts';
import { tQuantile } from '../../src/stats/distributions.ts';
import { PUROMYCIN } from '../fixtures/stats/puromycin.ts';

/** Biochemical oxygen demand over days; Bates & Watts 1988, table A1.4. */
const BOD = { x: [1, 2, 3, 4, 5, 7], y: [8.3, 10.3, 19, 16, 15.6, 19.8] };

type Data = { readonly x: readonly number[]; readonly y: readonly number[] };
const problemOf = (
  { x, y }: Data,
  model: (p: ArrayLike<number>, x: number) => number,
  start: number[],
  lower?: number,
) =>
  ({
    count: x.length,
    parameters: start.map(value => ({ start: value, ...(lower !== undefined && { lower }) })),
    residuals: (p, out) => {
      for (const [i, v] of x.entries()) out[i] = y[i]! - model(p, v);
    },
  }) satisfies LeastSquaresProblem;

/** 95 % interval, with the limit S₀·(1 + t²/ν). */
function interval(problem: LeastSquaresProblem, parameter: number) {
  const fit = fitLeastSquares(problem);
  const nu = fit.degreesOfFreedom;
  const limit = fit.sumOfSquares * (1 + tQuantile(0.975, nu) ** 2 / nu);
  return { ...profileInterval({ problem, fit, parameter, limit }), fit, limit };
}

const michaelis = (p: ArrayLike<number>, x: number) => (p[0]! * x) / (p[1]! + x);
const saturation = (p: ArrayLike<number>, x: number) => p[0]! * (1 - Math.exp(-p[1]! * x));

describe('the profile of a fit', () => {
  test('gives the published intervals of the Puromycin data: 197.302 to 229.290 and 0.046925 to 0.086160', () => {
    // profile intervals (confint of nls in R, as quoted in the tests of an open regression library); theirs are read off a spline through
    // the profile, which holds to some four digits
    const problem = problemOf(PUROMYCIN, michaelis, [200, 0.05]);
    const rate = interval(problem, 0);
    expect(rate.low! / 197.30212848).toBeCloseTo(1, 3);
    expect(rate.high! / 229.2900649).toBeCloseTo(1, 3);
    const constant = interval(problem, 1);
    expect(constant.low! / 0.04692517).toBeCloseTo(1, 3);
    expect(constant.high! / 0.08615995).toBeCloseTo(1, 3);
    expect(constant.better).toBeNull();
  });

  /** With the other parameter eliminated in closed form: S(θ) = Σy² − (Σyf)²/Σf². */
  const closed =
    ({ x, y }: Data, shape: (theta: number, x: number) => number) =>
    (theta: number) => {
      const f = x.map(v => shape(theta, v));
      const sum = (of: (i: number) => number) => x.reduce((s, _, i) => s + of(i), 0);
      return sum(i => y[i]! ** 2) - sum(i => y[i]! * f[i]!) ** 2 / sum(i => f[i]! ** 2);
    };

  test.each([
    ['Puromycin', PUROMYCIN, michaelis, [200, 0.05], (k: number, x: number) => x / (k + x)],
    ['BOD', BOD, saturation, [20, 0.5], (k: number, x: number) => 1 - Math.exp(-k * x)],
  ] as const)('ends where the closed profile of the %s data reaches the limit', (_, data, model, start, shape) => {
    const { low, high, limit } = interval(problemOf(data, model, [...start]), 1);
    const profile = closed(data, shape);
    for (const end of [low!, high!]) expect(profile(end) / limit).toBeCloseTo(1, 3);
    expect(profile(low! * 1.01)).toBeLessThan(limit);
    expect(profile(high! * 0.99)).toBeLessThan(limit);
  });

  test('is the t interval for a straight line, to its digits', () => {
    const { low, high, fit } = interval(
      problemOf(PUROMYCIN, (p, x) => p[0]! + p[1]! * x, [100, 100]),
      1,
    );
    const half = tQuantile(0.975, 10) * fit.standardErrors![1]!;
    expect((fit.parameters[1]! - low!) / half).toBeCloseTo(1, 3);
    expect((high! - fit.parameters[1]!) / half).toBeCloseTo(1, 3);
  });

  test('has no end where the data set none: a plateau that every later rise would reach', () => {
    // points that saturate at once: the rate could be any beyond some least
    const data = { x: [1, 2, 3, 4, 5, 6], y: [10.1, 9.9, 10.2, 9.8, 10.1, 9.9] };
    const { low, high } = interval(problemOf(data, saturation, [10, 5]), 1);
    expect(low).toBeGreaterThan(0.5);
    expect(high).toBeNull();
  });

  test('ends at a bound that is good enough', () => {
    const data = { x: [1, 2, 3, 4, 5, 6], y: [1.02, 0.99, 1.01, 0.98, 1.01, 1] };
    const { low, high } = interval(
      problemOf(data, (p, x) => p[0]! + p[1]! * x, [1, 0.01], 0),
      1,
    );
    expect(low).toBe(0);
    expect(high).toBeGreaterThan(0);
  });

  test('says where it meets a better fit on its way', () => {
    // a sine of two pits: the fit is left in the shallow one
    const x = Array.from({ length: 30 }, (_, i) => i / 3);
    const data = { x, y: x.map((v, i) => Math.sin(2 * v) + 0.05 * (i % 2)) };
    const problem = problemOf(data, (p, v) => p[0]! * Math.sin(p[1]! * v), [0.2, 3.0]);
    const found = interval(problem, 1);
    const best = fitLeastSquares(problemOf(data, (p, v) => p[0]! * Math.sin(p[1]! * v), [1, 2]));
    expect(found.fit.sumOfSquares).toBeGreaterThan(best.sumOfSquares * 2);
    expect(found.better).not.toBeNull();
  });

  test('wants a limit above the sum of squares', () => {
    const problem = problemOf(BOD, saturation, [20, 0.5]);
    const fit = fitLeastSquares(problem);
    expect(() => profileInterval({ problem, fit, parameter: 0, limit: fit.sumOfSquares })).toThrow(DomainError);
  });
});
