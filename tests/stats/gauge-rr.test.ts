import { describe, expect, test } from 'vitest';
import { distinctCategories, gaugeAnova, gaugeAverageRange } from '../../src/stats/gauge-rr.ts';
import { AIAG_GAUGE } from '../fixtures/stats/aiag-gauge.ts';
import { HOUF_GAUGE } from '../fixtures/stats/houf-gauge.ts';

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

describe('Houf & Burman 1988: 10 modules, 3 operators, 3 readings, an interaction that counts', () => {
  // Printed for this data, alike by hand and by three programs, at jasp-stats.github.io/jasp-verification-project/type-2-3-gauge-rr-study.html.
  test('0.511 repeatability, 0.728 interaction, 1.293 reproducibility, 1.804 gauge, 48.293 part, 50.096 in all', () => {
    const study = gaugeAnova(HOUF_GAUGE);
    expect(study.pooledAnova).toBeNull();
    expect(study.repeatability ** 2).toBeCloseTo(0.511, 3);
    expect(study.interaction! ** 2).toBeCloseTo(0.728, 3);
    expect(study.reproducibility ** 2).toBeCloseTo(1.293, 3);
    expect(study.reproducibility ** 2 - study.interaction! ** 2).toBeCloseTo(0.565, 3); // the operators alone
    expect(study.gauge ** 2).toBeCloseTo(1.804, 3);
    expect(study.part ** 2).toBeCloseTo(48.293, 3);
    expect(study.total ** 2).toBeCloseTo(50.096, 3);
    // Shares of the variance, in percent.
    const share = (sd: number): number => 100 * (sd / study.total) ** 2;
    expect(share(study.repeatability)).toBeCloseTo(1.02, 2);
    expect(share(study.interaction!)).toBeCloseTo(1.45, 2);
    expect(share(study.reproducibility)).toBeCloseTo(2.58, 2);
    expect(share(study.gauge)).toBeCloseTo(3.6, 2);
    expect(share(study.part)).toBeCloseTo(96.4, 2);
    expect(distinctCategories(study)).toBe(7); // ⌊1.41·√(48.293/1.804)⌋ = ⌊7.30⌋
  });
});

describe('a worked study of 3 items, 2 operators and 3 readings, whose interaction is pooled', () => {
  // Keller, Six Sigma Demystified, 2nd ed., pp. 342-343 prints the sums of squares, not the readings: these here have the same sums,
  // by effects (x, 0, −x) of items, ±y of operators, (z, −2z, z)·±1 of both, and (e, 0, −e) in every cell.
  const [x, y, z, e] = [0.0061 / 12, 0.0002722 / 18, 0.0000778 / 36, 0.0012 / 12].map(Math.sqrt) as [
    number,
    number,
    number,
    number,
  ];
  const readings = [-1, 0, 1].map(item =>
    [-1, 1].map(operator => {
      const mean = item * x + operator * y + operator * (item === 0 ? -2 : 1) * z;
      return [mean - e, mean, mean + e];
    }),
  );

  test('F and p with and without the interaction, its variances and shares, 2 categories', () => {
    const study = gaugeAnova(readings);
    const rows = (table: typeof study.anova) => Object.fromEntries(table.map(row => [row.source, row]));
    const [full, pooled] = [rows(study.anova), rows(study.pooledAnova!)];
    expect(Math.abs(full['part']!.f! / 78.4286 - 1)).toBeLessThan(1e-3); // of the sums as printed, 78.41
    expect(full['part']!.p!).toBeCloseTo(0.013, 3);
    expect(full['operator']!.f!).toBeCloseTo(7, 1);
    expect(full['operator']!.p!).toBeCloseTo(0.118, 3);
    expect(full['interaction']!.f!).toBeCloseTo(0.3889, 3);
    expect(full['interaction']!.p!).toBeCloseTo(0.686, 3);
    expect(pooled['repeatability']!.ss).toBeCloseTo(0.0012778, 7);
    expect(pooled['repeatability']!.df).toBe(14);
    expect(pooled['part']!.f!).toBeCloseTo(33.4174, 2);
    expect(pooled['operator']!.f!).toBeCloseTo(2.9826, 3);
    expect(pooled['operator']!.p!).toBeCloseTo(0.106, 3);
    expect(study.gauge).toBeCloseTo(0.0105535, 5);
    expect(study.repeatability).toBeCloseTo(0.0095535, 6);
    expect(study.reproducibility).toBeCloseTo(0.004484, 5);
    expect(study.part).toBeCloseTo(0.0222063, 5);
    expect(study.total).toBeCloseTo(0.0245865, 5);
    const ofStudy = (sd: number): number => (100 * sd) / study.total;
    expect(ofStudy(study.gauge)).toBeCloseTo(42.92, 1);
    expect(ofStudy(study.repeatability)).toBeCloseTo(38.86, 1);
    expect(ofStudy(study.reproducibility)).toBeCloseTo(18.24, 1);
    expect(ofStudy(study.part)).toBeCloseTo(90.32, 1);
    expect(distinctCategories(study)).toBe(2);
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
