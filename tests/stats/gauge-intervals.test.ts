import { describe, expect, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { gaugeIntervals } from '../../src/stats/gauge-intervals.ts';
import { gaugeAnova } from '../../src/stats/gauge-rr.ts';
import { varianceInterval } from '../../src/stats/variance-intervals.ts';

/** Thermal performance of modules, °C/W × 100: 10 parts, 3 operators, 3 readings. Houf & Burman, IEEE Trans. CHMT 11 (1988) 516. */
const HOUF = [
  ...['37 38 37 41 41 40 41 42 41', '42 41 43 42 42 42 43 42 43', '30 31 31 31 31 31 29 30 28'],
  ...['42 43 42 43 43 43 42 42 42', '28 30 29 29 30 29 31 29 29', '42 42 43 45 45 45 44 46 45'],
  ...[
    '25 26 27 28 28 30 29 27 27',
    '40 40 40 43 42 42 43 43 41',
    '25 25 25 27 29 28 26 26 26',
    '35 34 34 35 35 34 35 34 35',
  ],
].map(row => {
  const values = row.split(' ').map(Number);
  return [values.slice(0, 3), values.slice(3, 6), values.slice(6)];
});
const SIZE = { parts: 10, operators: 3, repeats: 3 };

describe('the interval of one mean square', () => {
  test('is exact: n·S²/χ², with printed quantiles', () => {
    // χ² of 10 degrees of freedom: 3.247 and 20.483 (any table); 10·2/20.483 = 0.9764, 10·2/3.247 = 6.160.
    const { low, high } = varianceInterval([{ source: 'a', factor: 1, meanSquare: 2, degreesOfFreedom: 10 }]);
    expect(low).toBeCloseTo(0.9764, 3);
    expect(high).toBeCloseTo(6.16, 2);
  });

  test('a term that adds nothing leaves it exact', () => {
    const one = { source: 'a', factor: 1, meanSquare: 2, degreesOfFreedom: 10 };
    const none = { source: 'b', factor: 0.5, meanSquare: 0, degreesOfFreedom: 4 };
    expect(varianceInterval([one, none])).toEqual(varianceInterval([one]));
  });

  test('a difference of one mean square and nearly none is exact at its end', () => {
    const one = { source: 'a', factor: 1, meanSquare: 2, degreesOfFreedom: 10 };
    const little = { source: 'b', factor: -1, meanSquare: 1e-12, degreesOfFreedom: 40 };
    expect(varianceInterval([one, little]).low).toBeCloseTo(varianceInterval([one]).low, 5);
  });
});

describe('intervals of a gauge study', () => {
  test('hold the estimates of the published study, and its repeatability exactly', () => {
    const study = gaugeAnova(HOUF);
    const intervals = gaugeIntervals(study, SIZE);
    // MSe = 30.67/60 = 0.5111 (Montgomery & Runger 1993 print 0.51); χ²(60): 40.482 and 83.298.
    expect(study.repeatability ** 2).toBeCloseTo(0.511, 3);
    expect(intervals.repeatability.low ** 2).toBeCloseTo((60 * 0.5111) / 83.298, 3);
    expect(intervals.repeatability.high ** 2).toBeCloseTo((60 * 0.5111) / 40.482, 3);
    for (const key of ['repeatability', 'interaction', 'reproducibility', 'gauge', 'part', 'total'] as const) {
      const estimate = study[key] as number;
      expect(intervals[key]!.low).toBeLessThan(estimate);
      expect(intervals[key]!.high).toBeGreaterThan(estimate);
    }
  });

  test('the same study, the same interval', () => {
    const study = gaugeAnova(HOUF);
    expect(gaugeIntervals(study, SIZE)).toEqual(gaugeIntervals(study, SIZE));
  });

  test.each([
    ['an interaction that matters', { part: 1, operator: 0.3, interaction: 0.3, error: 0.3 }],
    ['no interaction, so that it is mostly pooled', { part: 1, operator: 0.3, interaction: 0, error: 0.3 }],
  ])('cover the truth in 93 %% of the studies or more, with %s', (_, sd) => {
    const runs = 200;
    const random = randomSource(7);
    const truth = {
      repeatability: sd.error,
      reproducibility: Math.hypot(sd.operator, sd.interaction),
      gauge: Math.hypot(sd.operator, sd.interaction, sd.error),
      part: sd.part,
      total: Math.hypot(sd.part, sd.operator, sd.interaction, sd.error),
      share: 0,
    };
    truth.share = truth.gauge / truth.total;
    const held: Record<string, number> = {};
    for (let run = 0; run < runs; run++) {
      const operators = [0, 1, 2].map(() => sd.operator * random.normal());
      const readings = Array.from({ length: 10 }, () => {
        const part = sd.part * random.normal();
        return operators.map(operator => {
          const together = part + operator + sd.interaction * random.normal();
          return [0, 1, 2].map(() => together + sd.error * random.normal());
        });
      });
      const intervals = gaugeIntervals(gaugeAnova(readings), SIZE);
      for (const [key, value] of Object.entries(truth)) {
        const { low, high } = intervals[key as keyof typeof truth]!;
        held[key] = (held[key] ?? 0) + (low <= value && value <= high ? 1 : 0);
      }
    }
    // 0.93 less two standard errors of 200 runs; 0.925 to 0.968 of 400 were seen.
    for (const [key, count] of Object.entries(held)) expect(count / runs, key).toBeGreaterThan(0.895);
  });
});
