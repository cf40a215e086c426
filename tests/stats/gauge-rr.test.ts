import { describe, expect, test } from 'vitest';
import { distinctCategories, gaugeAnova, gaugeAverageRange } from '../../src/stats/gauge-rr.ts';
import { AIAG_GAUGE } from '../fixtures/stats/aiag-gauge.ts';

/** Readings[part][operator][repeat] from the printed [operator][repeat][part]. */
const readings = Array.from({ length: 10 }, (_, part) =>
  (['A', 'B', 'C'] as const).map(operator => AIAG_GAUGE[operator].map(row => row[part]!)),
);

describe('AIAG, Measurement Systems Analysis, 4th ed.: 10 parts, 3 appraisers, 3 trials', () => {
  test('average and range: EV 0.202, AV 0.230, GRR 0.306, PV 1.105, TV 1.146; 26.68 %, 5 categories', () => {
    const study = gaugeAverageRange(readings);
    // Printed digits.
    expect(study.repeatability).toBeCloseTo(0.202, 3);
    expect(study.reproducibility).toBeCloseTo(0.23, 3);
    expect(study.gauge).toBeCloseTo(0.306, 3);
    expect(study.part).toBeCloseTo(1.105, 3);
    expect(study.total).toBeCloseTo(1.146, 3);
    expect((100 * study.gauge) / study.total).toBeCloseTo(26.68, 2);
    expect((100 * study.repeatability) / study.total).toBeCloseTo(17.61, 2);
    expect((100 * study.reproducibility) / study.total).toBeCloseTo(20.04, 2);
    expect(study.interaction).toBeNull();
    expect(distinctCategories(study)).toBe(5);
  });

  test('analysis of variance: sums of squares, F, p; 27.86 %, 4 categories, interaction pooled', () => {
    const study = gaugeAnova(readings);
    const row = Object.fromEntries(study.anova.map(r => [r.source, r]));
    expect(row['part']!.ss).toBeCloseTo(88.362, 3);
    expect(row['operator']!.ss).toBeCloseTo(3.167, 3);
    expect(row['interaction']!.ss).toBeCloseTo(0.359, 3);
    expect(row['repeatability']!.ss).toBeCloseTo(2.759, 3);
    expect(row['total']!.ss).toBeCloseTo(94.647, 3);
    expect(study.anova.map(r => r.df)).toEqual([9, 2, 18, 60, 89]);
    expect(row['interaction']!.f).toBeCloseTo(0.4337, 3); // printed 0.434
    expect(row['interaction']!.p).toBeCloseTo(0.974, 3);
    expect(study.repeatability ** 2).toBeCloseTo(0.03997, 5);
    expect(study.reproducibility ** 2).toBeCloseTo(0.05146, 4); // recomputes to 0.051455
    expect(study.gauge ** 2).toBeCloseTo(0.09143, 5);
    expect(study.part ** 2).toBeCloseTo(1.08645, 5);
    expect(study.interaction).toBe(0);
    expect(study.pooledAnova!.map(r => r.source)).toEqual(['part', 'operator', 'repeatability', 'total']);
    const pct = (sd: number): number => (100 * sd) / study.total;
    expect(pct(study.repeatability)).toBeCloseTo(18.42, 2);
    expect(pct(study.reproducibility)).toBeCloseTo(20.9, 2);
    expect(pct(study.gauge)).toBeCloseTo(27.86, 2);
    expect(pct(study.part)).toBeCloseTo(96.04, 2);
    expect(distinctCategories(study)).toBe(4);
  });
});

describe('small studies by hand', () => {
  test('an interaction that is plainly there stays apart from the repeatability', () => {
    // Cell means ±1 against each other (part means and operator means all 0), repeats ±0.1:
    // SS(interaction) = 2·4·1 = 8 (1 df), SS(repeatability) = 8·0.01 = 0.08 (4 df); F = 8/0.02 = 400.
    const cross = [
      [
        [0.9, 1.1],
        [-0.9, -1.1],
      ],
      [
        [-0.9, -1.1],
        [0.9, 1.1],
      ],
    ];
    const study = gaugeAnova(cross);
    expect(study.pooledAnova).toBeNull();
    expect(study.anova.find(r => r.source === 'interaction')!.f).toBeCloseTo(400, 8);
    expect(study.repeatability).toBeCloseTo(Math.sqrt(0.02), 12);
    expect(study.interaction).toBeCloseTo(Math.sqrt((8 - 0.02) / 2), 12);
    expect(study.part).toBe(0);
    expect(study.reproducibility).toBeCloseTo(study.interaction!, 12);
  });

  test('a gauge without any variation has no number of categories', () => {
    expect(distinctCategories({ part: 1, gauge: 0 })).toBeNull();
    expect(distinctCategories({ part: 0.1, gauge: 1 })).toBe(1);
  });

  test('studies that are too small or not crossed are refused', () => {
    const cell = [1, 2];
    expect(() => gaugeAnova([[cell, cell]])).toThrow(/parts/);
    expect(() => gaugeAnova([[cell], [cell]])).toThrow(/operators/);
    expect(() =>
      gaugeAnova([
        [[1], [2]],
        [[3], [4]],
      ]),
    ).toThrow(/repeats/);
    expect(() =>
      gaugeAverageRange([
        [cell, cell],
        [cell, [1, 2, 3]],
      ]),
    ).toThrow(/every cell/);
    expect(() => gaugeAverageRange([[cell, cell], [cell]])).toThrow(/every part/);
  });
});
