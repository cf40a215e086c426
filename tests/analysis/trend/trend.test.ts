import { describe, expect, test } from 'vitest';
import { gaugeRr } from '../../../src/analysis/trend/gauge-rr.ts';
import { trend } from '../../../src/analysis/trend/trend.ts';
import { AIAG_GAUGE } from '../../fixtures/stats/aiag-gauge.ts';
import { HARD_BAKE } from '../../fixtures/stats/hard-bake.ts';

const single = (values: readonly number[]) => ({
  unit: 'uL',
  subgroups: values.map((v, i) => ({ label: String(i + 1), values: [v] })),
});
const hardBake = { unit: 'um', subgroups: HARD_BAKE.map((values, i) => ({ label: String(i + 1), values })) };
const codes = (findings: readonly { code: string }[]): string[] => findings.map(f => f.code);

describe('trend', () => {
  test('equal readings with a sigma from before: Cp by hand, no overall capability, and no fault', () => {
    const { result } = trend(single([3, 3, 3, 3]), { sigma: 1, lower: 1, upper: 5 });
    // (5 − 1)/(6·1); the overall standard deviation is zero.
    expect(result!.capability).toMatchObject({ cp: expect.closeTo(2 / 3, 12), pp: null, ppk: null });
    expect(result!.capability!.intervals).toMatchObject({ pp: null, ppk: null });
  });

  test("Montgomery's hard-bake process: Cp 1.192, Cpk 1.1787, all rules silent", () => {
    const { result, findings } = trend(hardBake, { lower: 1, upper: 2 });
    expect(findings).toEqual([]);
    expect(result).toMatchObject({ chart: 'xbar-r', unit: 'um', stable: true, rules: [1, 2, 3, 4] });
    expect(result!.center).toBeCloseTo(1.5056104, 7);
    expect(result!.range.center).toBeCloseTo(0.325208, 6);
    expect(result!.capability!.cp).toBeCloseTo(1.192, 3);
    expect(result!.capability!.cpk).toBeCloseTo(1.17868, 3);
    // Overall sd is larger or smaller than the one within; the intervals hold their estimates.
    const { cp, cpk, pp, ppk, intervals } = result!.capability!;
    for (const [value, interval] of [
      [cp, intervals.cp],
      [cpk, intervals.cpk],
      [pp, intervals.pp],
      [ppk, intervals.ppk],
    ] as const) {
      expect(interval![0]).toBeLessThan(value!);
      expect(interval![1]).toBeGreaterThan(value!);
    }
    expect(pp).toBeCloseTo(1 / (6 * result!.overall_sd), 12); // (2 − 1)/(6 sd)
    expect(result!.points[0]).toEqual({
      index: 1,
      label: '1',
      value: expect.closeTo(1.51188, 5),
      lower: result!.limits.lower,
      upper: result!.limits.upper,
      rules: [],
    });
  });

  test('no specification, no capability; one limit, no cp', () => {
    expect(trend(hardBake).result!.capability).toBeNull();
    const one = trend(hardBake, { upper: 2 }).result!.capability!;
    expect([one.cp, one.pp, one.intervals.cp]).toEqual([null, null, null]);
    expect(one.cpk).toBeCloseTo((2 - 1.5056104) / (3 * 0.1398191), 4);
  });

  test('a run that another rule sees does not withhold capability, and its chance is said', () => {
    const run = single([
      10, 11, 10, 11, 10.2, 10.3, 10.4, 10.5, 10.6, 10.7, 10, 11, 10, 11, 10, 11, 10, 11, 10.5, 10.6,
    ]);
    const { result, findings } = trend(run, { lower: 0, upper: 30 });
    expect(codes(findings)).toContain('trend-signal');
    expect(result!.points.some(p => p.rules.includes(1))).toBe(false);
    expect(result!.stable).toBe(false);
    expect(result!.capability).not.toBeNull();
    expect(result!.false_signal_pct).toBeGreaterThan(5);
    expect(result!.false_signal_pct).toBeLessThan(40);
  });

  test('rule 1 with given limits has the chance 1 − (1 − 0.0027)ⁿ of a false signal, in percent', () => {
    const values = Array.from({ length: 30 }, (_, i) => 10 + (i % 2));
    const { result } = trend(single(values), { rules: [1], target: 10, sigma: 1 });
    // 7.79 %; 2,000 simulated charts know it to ± 0.6 (one standard deviation)
    expect(Math.abs(result!.false_signal_pct - 100 * (1 - 0.9973002 ** 30))).toBeLessThan(1.2);
  });

  test('while rule 1 fires capability is withheld, and a finding says so', () => {
    const shifted = single([10, 11, 10, 9, 10, 11, 9, 10, 10, 11, 9, 10, 20, 10, 9, 11, 10, 9, 10, 11, 10]);
    const all = trend(shifted, { lower: 0, upper: 30 });
    expect(all.result!.capability).toBeNull();
    expect(all.result!.points[12]!.rules).toEqual([1]);
    expect(codes(all.findings)).toEqual(['trend-signal', 'trend-range-signal', 'capability-withheld']);
    expect(all.findings[0]!.message).toContain('point 13');
    const other = trend(shifted, { lower: 0, upper: 30, rules: [3] });
    expect(other.result!.capability).not.toBeNull();
  });

  test('a subgroup whose range is beyond its limits withholds capability too', () => {
    const wide = HARD_BAKE.map((g, i) => (i === 7 ? [1.0, 2.0, 1.5, 1.2, 1.8] : g));
    const { result, findings } = trend(
      { unit: null, subgroups: wide.map((values, i) => ({ label: `${i}`, values })) },
      { lower: 0, upper: 3 },
    );
    expect(result!.range.points[7]!.beyond).toBe(true);
    expect(result!.stable).toBe(false);
    expect(codes(findings)).toEqual(['trend-range-signal', 'capability-withheld']);
  });

  test('an EWMA of the handbook: centre 50, s 2.0539, λ 0.3, limits 52.5884 and 47.4115', () => {
    const data = [
      52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1,
    ];
    const { result, findings } = trend(single(data), { chart: 'ewma', lambda: 0.3, target: 50, sigma: 2.0539 });
    expect(result!.lambda).toBe(0.3);
    expect(trend(single(data), { chart: 'ewma' }).result!.lambda).toBe(0.2); // as `--help` says
    expect(trend(single(data), {}).result!.lambda).toBeNull();
    expect(result!.limits.upper).toBeCloseTo(52.5884, 4);
    expect(result!.limits.lower).toBeCloseTo(47.4115, 3);
    // NIST/SEMATECH e-Handbook 6.3.2.4, the twenty EWMA values after the start at 50 (from memory, printed to two places).
    const printed = [
      50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92,
      50.73, 51.23, 51.94, 51.99,
    ];
    for (const [i, value] of printed.entries()) expect(Math.abs(result!.points[i]!.value - value)).toBeLessThan(0.0051);
    expect(result!.points.every(p => p.rules.length === 0)).toBe(true);
    expect(findings).toEqual([]);
    expect(codes(trend(single(data), { chart: 'ewma', rules: [1, 2] }).findings)).toContain('trend-rules-ewma');
  });

  test('charts are chosen by the size of the subgroups', () => {
    const of = (size: number) =>
      trend({
        unit: null,
        subgroups: [1, 2].map(k => ({ label: `${k}`, values: Array.from({ length: size }, (_, i) => k + i) })),
      }).result!.chart;
    expect([of(1), of(2), of(10), of(11)]).toEqual(['imr', 'xbar-r', 'xbar-r', 'xbar-s']);
  });

  test('what cannot be charted comes back as findings, all of them', () => {
    const none = (options: Parameters<typeof trend>[1], values = [1, 2, 3]) => {
      const outcome = trend(single(values), options);
      expect(outcome.result).toBeNull();
      return codes(outcome.findings).filter(c => c !== 'trend-few-points');
    };
    expect(none({}, [1])).toEqual(['trend-too-few']);
    expect(none({}, [1, 1, 1])).toEqual(['trend-no-scatter']);
    expect(none({ chart: 'xbar-r' })).toEqual(['trend-too-few']);
    expect(none({ lower: 2, upper: 1, sigma: -1, rules: [9] })).toEqual([
      'trend-option-invalid',
      'trend-option-invalid',
      'trend-option-invalid',
    ]);
    expect(none({ lambda: 0.3 })).toEqual(['trend-option-invalid']);
    expect(none({ chart: 'ewma', lambda: 2 })).toEqual(['trend-option-invalid']);
  });

  test('few points and a short last subgroup are warnings', () => {
    const input = {
      unit: null,
      subgroups: [[1, 2, 3], [2, 3, 1], [2]].map((values, i) => ({ label: `${i}`, values })),
    };
    expect(codes(trend(input, { subgroupSize: 3 }).findings)).toEqual(['trend-few-points', 'trend-subgroup-short']);
  });
});

describe('gauge study', () => {
  const readings = (['A', 'B', 'C'] as const).flatMap(operator =>
    AIAG_GAUGE[operator].flatMap(row => row.map((value, i) => ({ part: `p${i + 1}`, operator, value }))),
  );

  test('AIAG by analysis of variance: 27.86 %, 4 categories', () => {
    const { result, findings } = gaugeRr({ unit: 'mm', readings }, { tolerance: 8 });
    expect(result!.study_pct!.gauge_rr).toBeCloseTo(27.86, 2);
    expect(result!.study_pct!.part).toBeCloseTo(96.04, 2);
    expect(result).toMatchObject({
      method: 'anova',
      distinct_categories: 4,
      interaction_pooled: true,
      interaction_sd: 0,
      parts: 10,
      operators: 3,
      repeats: 3,
    });
    expect(result!.anova!.map(r => r.source)).toEqual(['part', 'operator', 'interaction', 'repeatability', 'total']);
    expect(result!.tolerance_pct).toBeCloseTo((100 * 6 * Math.sqrt(0.09142854)) / 8, 4);
    expect(codes(findings)).toEqual(['gauge-poor']);
  });

  test('AIAG by average and range: 26.68 %, 5 categories', () => {
    const { result, findings } = gaugeRr({ unit: 'mm', readings }, { method: 'range' });
    expect(result!.study_pct!.gauge_rr).toBeCloseTo(26.68, 2);
    expect(result).toMatchObject({
      method: 'range',
      distinct_categories: 5,
      anova: null,
      interaction_sd: null,
      tolerance_pct: null,
    });
    expect(codes(findings)).toEqual(['gauge-marginal']);
  });

  test('every gap of the study is named', () => {
    const { result, findings } = gaugeRr({ unit: null, readings: readings.slice(2) });
    expect(result).toBeNull();
    expect(findings.map(f => f.message)).toEqual([
      'operator "A" measured part "p1" 2 times, others 3 times',
      'operator "A" measured part "p2" 2 times, others 3 times',
    ]);
    expect(codes(gaugeRr({ unit: null, readings: [] }).findings)).toEqual([
      'gauge-study-unbalanced',
      'gauge-study-unbalanced',
      'gauge-study-unbalanced',
    ]);
    expect(codes(gaugeRr({ unit: null, readings }, { tolerance: 0 }).findings)).toEqual(['trend-option-invalid']);
  });
});
