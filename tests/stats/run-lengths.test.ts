import { describe, expect, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { controlChart } from '../../src/stats/control-chart.ts';
import { falseSignalChance } from '../../src/stats/false-signals.ts';
import { runRules } from '../../src/stats/run-rules.ts';

/** Average run length of a steady process, from charts that end at their first signal or after `length` points. */
function runLength(p: { runs: number; length: number; chart: (values: number[]) => number }): number {
  const random = randomSource(11);
  let points = 0;
  let signals = 0;
  for (let run = 0; run < p.runs; run++) {
    const first = p.chart(Array.from({ length: p.length }, () => random.normal()));
    points += first < 0 ? p.length : first + 1;
    if (first >= 0) signals++;
  }
  return points / signals;
}

const byRules =
  (rules: number[], oneSide = 8) =>
  (values: number[]) =>
    runRules(
      values.map(value => ({ value, z: value })),
      { rules, oneSide },
    ).findIndex(fired => fired.length > 0);

describe('average run lengths of a steady process', () => {
  // Champ & Woodall, Technometrics 29 (1987) 393, table 1 (from memory): 8 points on one side, the rules of 1956.
  // Some hundred signals each are good to 5 %; three times that is allowed.
  test.each([
    [[1], 370.4],
    [[1, 5], 225.44],
    [[1, 6], 166.05],
    [[1, 2], 152.73],
    [[1, 2, 5, 6], 91.75],
  ])('with the rules %j it is %d', (rules, published) => {
    const found = runLength({ runs: 700, length: 400, chart: byRules(rules) });
    expect(Math.abs(found / published - 1)).toBeLessThan(0.15);
  });

  // Crowder, Technometrics 29 (1987) 401, L = 3 (from memory); our limits grow at the start, which shortens it a little.
  test.each([
    [0.5, 397.46],
    [0.25, 502.9],
    [0.1, 842.15],
  ])('of an EWMA of weight %d it is %d', (lambda, published) => {
    const chart = (values: number[]) => {
      const { points } = controlChart({ kind: 'ewma', subgroups: values.map(v => [v]), target: 0, sigma: 1, lambda });
      return points.findIndex(({ value, lower, upper }) => value < lower || value > upper);
    };
    const found = runLength({ runs: 500, length: 600, chart });
    expect(Math.abs(found / published - 1)).toBeLessThan(0.2);
  });

  test.each([
    ['xbar-r', 5],
    ['xbar-s', 4],
  ] as const)('of means on a chart %s it is 370.4', (kind, size) => {
    const random = randomSource(5);
    const chart = (values: number[]) => {
      const subgroups = values.map(() => Array.from({ length: size }, () => random.normal()));
      const { points } = controlChart({ kind, subgroups, target: 0, sigma: 1 });
      return points.findIndex(({ value, lower, upper }) => value < lower || value > upper);
    };
    const found = runLength({ runs: 300, length: 600, chart });
    expect(Math.abs(found / 370.4 - 1)).toBeLessThan(0.2);
  });
});

describe('average run lengths of the charts of scatter', () => {
  const lengthOf = (kind: 'imr' | 'xbar-r' | 'xbar-s', size: number) => {
    const random = randomSource(6);
    return runLength({
      runs: 400,
      length: 300,
      chart: values => {
        const subgroups = values.map(() => Array.from({ length: size }, () => random.normal()));
        const { spread } = controlChart({ kind, subgroups, target: 0, sigma: 1 });
        return spread.findIndex(({ value, lower, upper }) => value !== null && (value > upper || value < lower));
      },
    });
  };

  // A range of two is |N(0, √2)|, its limit d2 + 3·d3 with d2 = 2/√π, d3 = √(2 − 4/π): P = erfc(limit/2) = 0.009152.
  test('ranges of two: 1/0.009152 = 109.3', () => {
    expect(Math.abs(lengthOf('xbar-r', 2) / 109.26 - 1)).toBeLessThan(0.15);
  });

  // 3·B6² = 13.076 with c4 = 0.921318 of four, and P(χ² of 3 > 13.076) = 0.004475; B5 is zero.
  test('standard deviations of four: 1/0.004475 = 223.5', () => {
    expect(Math.abs(lengthOf('xbar-s', 4) / 223.5 - 1)).toBeLessThan(0.2);
  });

  // Moving ranges share a reading with their neighbours; at a limit this far out that changes little: as ranges of two.
  test('moving ranges: about those of two', () => {
    expect(Math.abs(lengthOf('imr', 1) / 109.26 - 1)).toBeLessThan(0.2);
  });
});

describe('the chance of a false signal', () => {
  const sizes = (n: number) => Array.from({ length: n }, () => 1);

  test('of rule 1 with given limits is 1 − (1 − 0.0027)ⁿ', () => {
    const chance = falseSignalChance({ kind: 'imr', sizes: sizes(100), rules: [1], target: true, sigma: true });
    // 1000 charts: good to 0.013.
    expect(Math.abs(chance - (1 - 0.9973 ** 100))).toBeLessThan(0.04);
  });

  test('grows with the rules and the points', () => {
    const chance = (n: number, rules: number[]) =>
      falseSignalChance({ kind: 'imr', sizes: sizes(n), rules, target: false, sigma: false });
    expect(chance(100, [1, 2, 3, 4])).toBeGreaterThan(0.45);
    expect(chance(100, [1, 2, 3, 4])).toBeGreaterThan(chance(100, [1]));
    expect(chance(100, [1, 2, 3, 4])).toBeGreaterThan(chance(25, [1, 2, 3, 4]));
    expect(chance(100, [])).toBe(0);
  });
});
