import { describe, expect, test } from 'vitest';
import type { FitResult } from '../../../src/analysis/fit/fit.ts';
import { type GaugeRrInput, gaugeRr } from '../../../src/analysis/trend/gauge-rr.ts';
import { trend } from '../../../src/analysis/trend/trend.ts';
import { stackDrawings } from '../../../src/report/chart/chart-block.ts';
import type { Drawing } from '../../../src/report/chart/drawing.ts';
import { residualCharts } from '../../../src/report/chart/fit-charts.ts';
import { gaugeRrCharts } from '../../../src/report/chart/gauge-rr-charts.ts';
import { trendCharts } from '../../../src/report/chart/trend-charts.ts';

const texts = (drawing: Drawing) => drawing.marks.flatMap(m => (m.kind === 'text' ? [m.text] : []));
const singles = (values: number[]) => ({
  unit: 'uL',
  subgroups: values.map((v, i) => ({ label: String(i + 1), values: [v] })),
});

describe('pictures of the floor loop', () => {
  test('a trend circles the points where a rule fired, with its number', () => {
    const values = [10, 10.2, 9.8, 10.1, 9.9, 10, 10.2, 9.9, 10.1, 14];
    const result = trend(singles(values), { lower: 8, upper: 12 }).result!;
    expect(result.points.at(-1)!.rules).toContain(1);
    const [chart, scatter] = trendCharts(result, 'mean') as [Drawing, Drawing];
    expect(texts(chart)).toContain(result.points.at(-1)!.rules.join(','));
    expect(texts(chart)).toContain('specified 12.00');
    expect(texts(scatter)).toContain('mean, moving range');
  });

  test('limits that differ from point to point are drawn as steps', () => {
    const groups = [3, 3, 2, 3, 3].map((n, i) => ({
      label: `g${i}`,
      values: Array.from({ length: n }, (_, k) => 10 + 0.1 * ((k + i) % 3)),
    }));
    const result = trend({ unit: 'mg', subgroups: groups }, { chart: 'xbar-s' }).result!;
    expect(texts(trendCharts(result, 'mass')[0]!)).toContain('upper limit');
  });

  test('residuals stand against what was varied, and against age where it is known', () => {
    const row = (line: number, pressure_kPa: number, outlier = false) => ({
      ...{
        line,
        pressure_kPa,
        dwell_s: 0.5,
        measured_uL: 2,
        model_uL: 2,
        residual_pct: line - 3,
        leverage: 0.2,
        outlier,
      },
    });
    const fit = { residuals: [row(2, 100), row(3, 200), row(4, 300, true)] } as unknown as FitResult;
    expect(residualCharts(fit, new Map(), { title: 'Slim' }).map(d => d.title)).toEqual([
      'Slim: residuals against pressure',
      'Slim: residuals against line of the file',
    ]);
    const aged = residualCharts(
      fit,
      new Map([
        [2, 15],
        [3, 16],
        [4, 17],
      ]),
      { title: 'Slim' },
    );
    expect(aged.map(d => d.title)).toContain('Slim: residuals against age');
    expect(texts(aged[0]!)).toContain('line 4');
  });

  test('a gauge study shows every reading, operators beside each other', () => {
    const readings = ['p', 'q'].flatMap((part, i) =>
      ['AB', 'CD'].flatMap(operator => [0, 1].map(k => ({ part, operator, value: 4 + i + 0.01 * k }))),
    );
    const input: GaugeRrInput = { unit: 'mm', readings };
    const [chart, shares] = gaugeRrCharts(gaugeRr(input).result!, {
      ...{ input, title: 'Study of dots.csv: diameter' },
    }) as [Drawing, Drawing];
    expect(texts(chart)).toEqual(expect.arrayContaining(['p', 'q', 'AB', 'CD']));
    expect(texts(shares)).toContain('parts');
    // either may be cut out of the page and stand alone
    for (const { title } of [chart, shares]) expect(title).toContain('Study of dots.csv: diameter');
  });

  test('stacked drawings keep their marks apart', () => {
    const result = trend(singles([1, 2, 1, 2, 1, 2])).result!;
    const [a, b] = trendCharts(result, 'x') as [Drawing, Drawing];
    const both = stackDrawings([a, b]);
    expect(both.height).toBe(a.height + b.height);
    expect(both.marks).toHaveLength(a.marks.length + b.marks.length);
    const lower = both.marks.slice(a.marks.length).filter(m => m.kind === 'text');
    expect(lower.every(m => m.kind === 'text' && m.y > a.height)).toBe(true);
    expect(stackDrawings([a])).toBe(a);
    expect(() => stackDrawings([])).toThrow(RangeError);
  });
});
