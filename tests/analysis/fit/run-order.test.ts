import { describe, expect, test } from 'vitest';
import { prepareDelivery } from '../../../src/analysis/delivery/operating-point.ts';
import { fit as calibrate, type FitRow } from '../../../src/analysis/fit/fit.ts';
import { runOrderDrift } from '../../../src/analysis/fit/run-order.ts';
import { fitLeastSquares, type LeastSquaresProblem } from '../../../src/numeric/least-squares.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

/** Residuals of a straight line in x; with `flat`, of a mean. */
function lineProblem(x: readonly number[], y: readonly number[], flat = false): LeastSquaresProblem {
  return {
    count: y.length,
    parameters: [
      { start: 0, typical: 1 },
      { start: 0, typical: 1, fixed: flat },
    ],
    residuals: (p, out) => {
      for (const [i, v] of y.entries()) out[i] = v - p[0]! - p[1]! * x[i]!;
    },
  };
}
const driftOf = (problem: LeastSquaresProblem) =>
  runOrderDrift(
    problem,
    fitLeastSquares(problem),
    Array.from({ length: problem.count }, () => 1),
  );

/** Two-sided tail of t on three degrees of freedom, in closed form. */
const tailOf3 = (t: number) => {
  const u = t / Math.sqrt(3);
  return 1 - (2 / Math.PI) * (u / (1 + u * u) + Math.atan(u));
};

describe('a drift along the order of the rows', () => {
  test('is the slope of the residuals with its t-test, by hand: 0, 3, 1, 5, 6 % in five rows', () => {
    // Sxy = 14, Sxx = 10: 1.4 % a row; Syy = 26, left 26 − 19.6 = 6.4 on three degrees: t = 1.4/√(6.4/3/10) = 3.0311
    const drift = driftOf(lineProblem([0, 0, 0, 0, 0], [0, 0.03, 0.01, 0.05, 0.06], true))!;
    expect(drift.drift).toBeCloseTo(Math.expm1(0.014), 8);
    expect(drift.p).toBeCloseTo(tailOf3(1.4 / Math.sqrt(6.4 / 30)), 6);
    expect(tailOf3(3.182446)).toBeCloseTo(0.05, 6); // t table
  });

  test('is none of the parameters’ own: a line in the order itself leaves nothing to tell', () => {
    const x = [1, 2, 3, 4, 5, 6];
    expect(driftOf(lineProblem(x, [0.1, 0.21, 0.29, 0.41, 0.5, 0.61]))).toBeNull();
  });

  test('is suspected where there is none in one fit of a hundred', () => {
    const source = randomSource(8);
    const x = Array.from({ length: 12 }, (_, i) => (i * 7) % 12);
    const runs = 800;
    let alarms = 0;
    for (let run = 0; run < runs; run++) {
      const y = x.map(v => 0.3 + 0.01 * v + 0.02 * source.normal());
      if (driftOf(lineProblem(x, y))!.p < 0.01) alarms++;
    }
    // binomial: 1 % ± 2.8·0.35 %
    expect(alarms / runs).toBeGreaterThan(0);
    expect(alarms / runs).toBeLessThan(0.02);
  });
});

describe('trials without an age column', () => {
  const recipe = exampleRecipe();
  /** A row a minute, pressures in order, ± 2 %; thickening doubles the viscosity in `doubling` minutes. */
  const rows = (seed: number, doubling: number): FitRow[] => {
    const source = randomSource(seed);
    const point = prepareDelivery(recipe).result!.at({}).result!;
    return [100e3, 150e3, 220e3, 320e3].flatMap((pressure, block) =>
      [0.3, 0.8, 2, 0.3, 0.8, 2].map((dwell, k): FitRow => {
        const minute = 6 * block + k;
        const thinner = 2 ** (-minute / doubling) / 1.17;
        const mass = 1150 * point.deliver({ pressure, dwell }).volume * thinner * Math.exp(0.02 * source.normal());
        return { pressure, dwell, age: null, temperature: null, shots: 1, mass, diameter: null, line: minute + 2 };
      }),
    );
  };
  const suspected = (seed: number, doubling: number) =>
    calibrate(recipe, rows(seed, doubling)).findings.some(({ code }) => code === 'fit-run-order');

  test('of a resin that thickens while pressures rise are said to drift, hidden as it is in the offset', () => {
    const seeds = Array.from({ length: 8 }, (_, i) => i + 1);
    expect(seeds.filter(seed => suspected(seed, 60)).length).toBeGreaterThanOrEqual(7);
    const { result, findings } = calibrate(recipe, rows(1, 60));
    const [factor] = result!.parameters;
    expect(factor!.low).toBeGreaterThan(1.17); // no interval allows for it
    expect(result!.run_order!.drift_pct).toBeCloseTo(100 * Math.expm1(-Math.LN2 / 60), 0);
    expect(findings.find(({ code }) => code === 'fit-run-order')!.message).toMatch(/fall by 1\.\d % a row/);
  });

  test('of a resin that does not thicken are not, but for one in a hundred; nor are trials with ages', () => {
    const seeds = Array.from({ length: 15 }, (_, i) => 100 + i);
    expect(seeds.filter(seed => suspected(seed, Number.POSITIVE_INFINITY)).length).toBeLessThanOrEqual(2);
    const aged = rows(1, 60).map(row => ({ ...row, age: 720 }));
    expect(calibrate(recipe, aged).result!.run_order).toBeNull();
  });
});
