import { describe, expect, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { mean, standardDeviation } from '../../src/stats/descriptive.ts';
import { tQuantile } from '../../src/stats/distributions.ts';
import { shortestInterval } from '../../src/stats/intervals.ts';
import { combineUncertainty, expandUncertainty, uncertaintyOfHalfWidth } from '../../src/stats/uncertainty.ts';

describe('JCGM 100, first order', () => {
  test('H.1 end gauge: contributions 25, 9.7, 2.9, 16.6 nm; u 32 nm, ν 16.7, t₉₉ 2.92', () => {
    const theta = -0.1; // [°C]
    const ls = 50_000_623; // [nm]
    const d = combineUncertainty([
      { sensitivity: 1, uncertainty: 5.8, degreesOfFreedom: 24 },
      { sensitivity: 1, uncertainty: 3.9, degreesOfFreedom: 5 },
      { sensitivity: 1, uncertainty: 6.7, degreesOfFreedom: 8 },
    ]);
    expect(d.uncertainty).toBeCloseTo(9.7, 1);
    expect(d.degreesOfFreedom).toBeCloseTo(25.4, 1); // printed 25.6 from rounded parts
    const budget = combineUncertainty([
      { sensitivity: 1, uncertainty: 25, degreesOfFreedom: 18 },
      { sensitivity: 1, uncertainty: d.uncertainty, degreesOfFreedom: d.degreesOfFreedom },
      { sensitivity: -ls * theta, uncertainty: uncertaintyOfHalfWidth(1e-6, 'uniform'), degreesOfFreedom: 50 },
      { sensitivity: -ls * 1.15e-5, uncertainty: uncertaintyOfHalfWidth(0.05, 'uniform'), degreesOfFreedom: 2 },
    ]);
    for (const [i, printed] of [25, 9.7, 2.9, 16.6].entries()) expect(budget.contributions[i]).toBeCloseTo(printed, 1);
    expect(budget.uncertainty ** 2).toBeCloseTo(1002.6, 1);
    expect(budget.degreesOfFreedom).toBeCloseTo(16.75, 1);
    expect(tQuantile(0.995, 16)).toBeCloseTo(2.92, 2);
    // Printed 93 is 2.92 times the rounded 32; unrounded 92.6 with ν = 16.
    expect(tQuantile(0.995, 16) * budget.uncertainty).toBeCloseTo(92.5, 1);
    expect(budget.shares.reduce((a, b) => a + b)).toBeCloseTo(1, 12);
  });

  test('G.4.1: 0.25, 0.57, 0.82 % give 1.03 %, ν 19.0, t 2.09, U 2.2 %', () => {
    const c = combineUncertainty(
      [
        [0.25, 9],
        [0.57, 4],
        [0.82, 14],
      ].map(([u, nu]) => ({ sensitivity: 1, uncertainty: u!, degreesOfFreedom: nu! })),
    );
    expect(c.uncertainty).toBeCloseTo(1.03, 2);
    expect(c.degreesOfFreedom).toBeCloseTo(19, 1);
    const expanded = expandUncertainty(c);
    expect(expanded.factor).toBeCloseTo(2.09, 2);
    expect(expanded.expanded).toBeCloseTo(2.2, 1);
  });

  test('EA-4/02 S2: a 10 kg weight, u 29.3 mg, U 58.5 mg', () => {
    // Reference weight 45/2 mg normal; drift ±15, off-centre loading ±10, air buoyancy ±10 mg, all rectangular; weighing difference
    // 25/√3 mg (pooled standard deviation of three).
    const c = combineUncertainty([
      { sensitivity: 1, uncertainty: 22.5 },
      { sensitivity: 1, uncertainty: uncertaintyOfHalfWidth(15, 'uniform') },
      { sensitivity: 1, uncertainty: 25 / Math.sqrt(3) },
      { sensitivity: 1, uncertainty: uncertaintyOfHalfWidth(10, 'uniform') },
      { sensitivity: 1, uncertainty: uncertaintyOfHalfWidth(10, 'uniform') },
    ]);
    expect(c.uncertainty).toBeCloseTo(29.3, 1);
    expect(2 * c.uncertainty).toBeCloseTo(58.5, 1);
    expect(c.degreesOfFreedom).toBe(Number.POSITIVE_INFINITY);
  });

  test('fully correlated inputs add or cancel', () => {
    const inputs = [
      { sensitivity: 1, uncertainty: 3 },
      { sensitivity: -1, uncertainty: 4 },
    ];
    expect(combineUncertainty(inputs).uncertainty).toBeCloseTo(5, 12);
    expect(combineUncertainty(inputs, [{ between: [0, 1], r: 1 }]).uncertainty).toBeCloseTo(1, 12);
    expect(combineUncertainty(inputs, [{ between: [0, 1], r: -1 }]).uncertainty).toBeCloseTo(7, 12);
  });

  test('inputs that cancel to the last digit leave no uncertainty, and not a number that is none', () => {
    // |c₁u₁ − c₂u₂| at r = −1, JCGM 100, 5.2.2 note 1; in doubles this variance comes out below zero
    const u = 1 / 7;
    const inputs = [
      { sensitivity: 1, uncertainty: u },
      { sensitivity: 1, uncertainty: u * (1 + 3e-9) },
    ];
    const c = combineUncertainty(inputs, [{ between: [0, 1], r: -1 }]);
    expect(c.uncertainty).toBe(0);
    expect(c.shares).toEqual([0, 0]);
    for (const r of [-1, 1]) expect(() => combineUncertainty(inputs, [{ between: [0, 1], r }])).not.toThrow();
    for (const r of [-1 - 1e-15, 1 + 1e-15, Number.NaN]) {
      expect(() => combineUncertainty(inputs, [{ between: [0, 1], r }])).toThrow(/r = /);
    }
  });

  test('impossible correlations are refused', () => {
    const three = [1, 1, 1].map(u => ({ sensitivity: 1, uncertainty: u }));
    const all = [
      { between: [0, 1] as const, r: -1 },
      { between: [0, 2] as const, r: -1 },
      { between: [1, 2] as const, r: -1 },
    ];
    expect(() => combineUncertainty(three, all)).toThrow(/variance/);
    expect(() => combineUncertainty(three, [{ between: [0, 0], r: 0 }])).toThrow(/different/);
    expect(() => combineUncertainty(three, [{ between: [0, 3], r: 0 }])).toThrow(/different/);
    expect(() => combineUncertainty(three, [{ between: [0, 1], r: 1.1 }])).toThrow(/r = 1.1/);
  });
});

describe('JCGM 101, Monte Carlo, seeded', () => {
  const draws = 500_000;
  const rectangular = (half: number, u: number): number => half * (2 * u - 1);

  test('9.2.3: four rectangular inputs of sd 1, shortest 95 % interval ±3.88', () => {
    const source = randomSource(923);
    const half = Math.sqrt(3);
    const y = Float64Array.from({ length: draws }, () => {
      let sum = 0;
      for (let k = 0; k < 4; k++) sum += rectangular(half, source.uniform());
      return sum;
    });
    const interval = shortestInterval(y);
    expect(standardDeviation(y)).toBeCloseTo(2, 2);
    // Exact convolution: 3.87941. The place of a shortest interval scatters more than its length: its ends by about 0.02.
    expect((interval.high - interval.low) / 2).toBeCloseTo(3.879, 2);
    expect(Math.abs(interval.high - 3.88)).toBeLessThan(0.06);
    expect(Math.abs(interval.low + 3.88)).toBeLessThan(0.06);
  });

  test('9.2.4: one of them with sd 10, ±17.0 where the first order says ±19.9', () => {
    const source = randomSource(924);
    const half = Math.sqrt(3);
    const y = Float64Array.from({ length: draws }, () => {
      let sum = rectangular(10 * half, source.uniform());
      for (let k = 0; k < 3; k++) sum += rectangular(half, source.uniform());
      return sum;
    });
    const interval = shortestInterval(y);
    expect(Math.abs((interval.high - interval.low) / 2 - 17.0158)).toBeLessThan(0.04); // exact convolution
    expect(standardDeviation(y)).toBeCloseTo(10.15, 1);
  });

  test('9.3: mass calibration, mean 1.2341, u 0.0754, [1.0834, 1.3825] mg', () => {
    // δm = (mRc + δmRc)(1 + (ρa − 1200·10⁻⁹…)(1/ρW − 1/ρR)) − m_nom; masses [mg], densities [kg/m³], ρa0 = 1.2.
    const source = randomSource(93);
    const y = Float64Array.from({ length: draws }, () => {
      const reference = 100_000 + 0.05 * source.normal();
      const added = 1.234 + 0.02 * source.normal();
      const air = 1.2 + rectangular(0.1, source.uniform());
      const weight = 8000 + rectangular(1000, source.uniform());
      const standard = 8000 + rectangular(50, source.uniform());
      return (reference + added) * (1 + (air - 1.2) * (1 / weight - 1 / standard)) - 100_000;
    });
    const interval = shortestInterval(y);
    expect(mean(y)).toBeCloseTo(1.2341, 3);
    expect(Math.abs(standardDeviation(y) - 0.0754)).toBeLessThan(2e-4);
    expect(Math.abs(interval.low - 1.0834)).toBeLessThan(0.005);
    expect(Math.abs(interval.high - 1.3825)).toBeLessThan(0.005);
  });

  test('9.5: end gauge, 838 nm, u 36 nm, 99 % [745, 932] nm', () => {
    const source = randomSource(95);
    const t = (nu: number): number => {
      let chi = 0;
      for (let k = 0; k < nu; k++) chi += source.normal() ** 2;
      return source.normal() / Math.sqrt(chi / nu);
    };
    const trapezoid = (half: number, d: number): number => {
      const edge = half - d + 2 * d * source.uniform(); // half-width itself uncertain by ±d
      return rectangular(edge, source.uniform());
    };
    const y = Float64Array.from({ length: 300_000 }, () => {
      const ls = 50_000_623 + 25 * t(18);
      const d = 215 + 6 * t(24) + 4 * t(5) + 7 * t(8);
      const alpha = 11.5e-6 + rectangular(2e-6, source.uniform());
      const theta = -0.1 + 0.2 * source.normal() + 0.5 * Math.sin(2 * Math.PI * source.uniform());
      const dAlpha = trapezoid(1e-6, 1e-7);
      const dTheta = trapezoid(0.05, 0.025);
      return (ls * (1 + alpha * (theta - dTheta)) + d) / (1 + (alpha + dAlpha) * theta) - 50_000_000;
    });
    const interval = shortestInterval(y, 0.99);
    expect(mean(y)).toBeCloseTo(838, 0);
    expect(Math.abs(standardDeviation(y) - 36)).toBeLessThan(0.5);
    expect(Math.abs(interval.low - 745)).toBeLessThan(2.5);
    expect(Math.abs(interval.high - 932)).toBeLessThan(2.5);
  });
});

describe('intervals', () => {
  test('the shortest interval of a skewed handful, by hand', () => {
    // 10 draws, half of them: q = 5, candidates [0, 5] [1, 6] … ; the least width is 5 − 0 = 5 (then 6 − 1 = 5: the first counts).
    expect(shortestInterval([0, 1, 2, 3, 4, 5, 10, 20, 40, 80], 0.5)).toEqual({ low: 0, high: 5 });
    expect(() => shortestInterval([1], 0.5)).toThrow(/draws/);
    expect(() => shortestInterval([1, 2], 0.99)).toThrow(/draws/);
    expect(() => shortestInterval([1, 2, 3], 1)).toThrow(/share/);
  });
});
