import { describe, expect, test } from 'vitest';
import { randomSource } from '../../src/numeric/random.ts';
import { gaugeIntervals } from '../../src/stats/gauge-intervals.ts';
import { gaugeAnova } from '../../src/stats/gauge-rr.ts';
import { varianceInterval } from '../../src/stats/variance-intervals.ts';
import { HOUF_GAUGE } from '../fixtures/stats/houf-gauge.ts';

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
    const study = gaugeAnova(HOUF_GAUGE);
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

  test('of gauge and part are those of the modified large-sample formulas by hand, with printed quantiles', () => {
    // Burdick, Borror & Montgomery 2005, table of the two-way crossed model with interaction (formulas from memory):
    //   γ = Σ cᵢ·Sᵢ², all c above zero: √Σ(Gᵢ·cᵢ·Sᵢ²)² below it and √Σ(Hᵢ·cᵢ·Sᵢ²)² above, G = 1 − n/χ²₀.₉₇₅(n), H = n/χ²₀.₀₂₅(n) − 1.
    // χ² of 2, 18 and 60 degrees of freedom, any table: 7.378 and 0.0506; 31.526 and 8.231; 83.298 and 40.482.
    const study = gaugeAnova(HOUF_GAUGE);
    const ms = Object.fromEntries(study.anova.map(row => [row.source, row.ms ?? 0]));
    const parts = [
      { share: ms['operator']! / 30, low: 1 - 2 / 7.378, high: 2 / 0.0506 - 1 },
      { share: (9 * ms['interaction']!) / 30, low: 1 - 18 / 31.526, high: 18 / 8.231 - 1 },
      { share: (20 * ms['repeatability']!) / 30, low: 1 - 60 / 83.298, high: 60 / 40.482 - 1 },
    ];
    const gauge = parts.reduce((sum, { share }) => sum + share, 0);
    const below = Math.hypot(...parts.map(({ share, low }) => share * low));
    const above = Math.hypot(...parts.map(({ share, high }) => share * high));
    const intervals = gaugeIntervals(study, SIZE);
    expect(intervals.gauge.low ** 2).toBeCloseTo(gauge - below, 3);
    expect(Math.abs(intervals.gauge.high ** 2 / (gauge + above) - 1)).toBeLessThan(2e-3); // 0.0506 has three digits
  });

  test('the same study, the same interval', () => {
    const study = gaugeAnova(HOUF_GAUGE);
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
