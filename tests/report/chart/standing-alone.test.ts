import { describe, expect, test } from 'vitest';
import type { FitResult } from '../../../src/analysis/fit/fit.ts';
import type { FollowResult } from '../../../src/analysis/follow/follow.ts';
import type { OvenResult } from '../../../src/analysis/oven/oven.ts';
import { trend } from '../../../src/analysis/trend/trend.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import type { Drawing } from '../../../src/report/chart/drawing.ts';
import { fitCharts } from '../../../src/report/chart/fit-charts.ts';
import { followCharts } from '../../../src/report/chart/follow-chart.ts';
import { lineChart } from '../../../src/report/chart/line-chart.ts';
import { ovenCharts } from '../../../src/report/chart/oven-charts.ts';
import { trendCharts } from '../../../src/report/chart/trend-charts.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { collisions } from '../pdf/layout-check.ts';

const measure = textMeasure(readFonts());
const texts = (drawing: Drawing) => drawing.marks.flatMap(m => (m.kind === 'text' ? [m.text] : []));
const letters = (drawing: Drawing) => drawing.marks.filter(m => m.kind === 'text');
const day = (i: number) => new Date(Date.UTC(2026, 2, 2 + i, 6)).toISOString();

function trendOf(values: readonly number[], options: Parameters<typeof trend>[1] = {}) {
  const subgroups = values.map((value, i) => ({ label: day(i), values: [value] }));
  return trend({ unit: 'uL', subgroups }, options).result!;
}

/** Up and down about 10 by 0.1 or 0.2, without a run. */
const quiet = (count: number) =>
  Array.from({ length: count }, (_, i) => 10 + [0.1, -0.2, 0.2, 0.1, -0.1, -0.2][i % 6]!);

describe('a trend', () => {
  const [chart] = trendCharts(trendOf([...quiet(24), 14]), 'pigtail.yaml: mean', measure) as [Drawing, Drawing];

  test('says limits and centre in figures, the rules that fired in words, and the days', () => {
    const all = texts(chart).join('\n');
    expect(all).toMatch(/^upper limit 1\d\.\d+$/m);
    expect(all).toMatch(/^centre 10\.\d+$/m);
    expect(all).toMatch(/^lower limit 9\.\d+$/m);
    expect(all).toContain('Circled by rule: 1, one point beyond three sigma');
    expect(all).toContain('2026-03-02');
    expect(all).toContain('2026-03-02 to 2026-03-26');
    expect(all).toContain('25 readings in 25 points');
  });

  test('of few points is not called steady', () => {
    const [few] = trendCharts(trendOf(quiet(12)), 'mean', measure) as [Drawing, Drawing];
    expect(texts(few).join(' ')).toContain('No rule fires, but 12 points are too few to tell.');
    const [many] = trendCharts(trendOf(quiet(24)), 'mean', measure) as [Drawing, Drawing];
    expect(texts(many).join(' ')).toMatch(/No rule fires\. Of steady processes/);
  });

  test('has no text on another', () => {
    const values = [...quiet(20), 14, 13.9, 14.1, 14, 6, 6.1, 14.2, 13.8];
    for (const drawing of trendCharts(trendOf(values, { lower: 9.7, upper: 10.3 }), 'pigtail.yaml: mean', measure))
      expect(collisions(letters(drawing), measure)).toEqual([]);
  });
});

describe('letters at noted points', () => {
  test('keep apart from one another and off the lines where they can', () => {
    const points = Array.from({ length: 30 }, (_, i) => [i, i % 2 === 0 ? 0 : 1] as const);
    const notes = [10, 11, 12, 13, 29].map(index => ({ index, text: String(index) }));
    const axes = { x: { label: 'x' }, y: { label: 'y', min: -1, max: 2 } };
    const drawing = lineChart({ title: 't', ...axes, series: [{ name: 's', points, notes }] }, undefined, measure);
    const noted = drawing.marks.filter(m => m.kind === 'circle' && m.fill === undefined);
    expect(noted).toHaveLength(5);
    const words = letters(drawing).filter(
      m => /^(?:1[0123]|29)$/.test(m.kind === 'text' ? m.text : '') && m.kind === 'text' && m.font === 'medium',
    );
    expect(words).toHaveLength(5);
    expect(collisions([...words, ...noted], measure)).toEqual([]);
  });
});

describe('what to do after a check', () => {
  const check = (i: number) => ({
    time: day(i),
    dwell_s: 0.52,
    thickness: 1,
    filtered: 1,
    low: 0.95,
    high: 1.05,
    decision: 'use',
  });
  const result = {
    checks: [0, 1, 2].map(check),
    ...{ action: 'set', dwell_s: 0.54, before_s: 0.52, thickness: { estimate: 1.04, low: 1, high: 1.1 } },
  } as unknown as FollowResult;

  test('shows a dwell from zero: a step of 4 % is 4 % of its height', () => {
    const [, dwell] = followCharts(result, 'Slim', measure) as [Drawing, Drawing];
    const ring = dwell.marks
      .filter(m => m.kind === 'circle' && m.fill === 'black')
      .map(m => (m.kind === 'circle' ? m.y : 0));
    const strokes = dwell.marks.filter(m => m.kind === 'line' && m.width === 0.32).slice(-2); // the cross, not that of the key
    const cross = strokes.reduce((sum, m) => sum + (m.kind === 'line' ? (m.y1 + m.y2) / 2 : 0), 0) / strokes.length;
    const axis = dwell.marks.filter(
      m => m.kind === 'line' && m.width === 0.25 && m.y1 === m.y2 && m.x2 - m.x1 > 50,
    )[0]!;
    const zero = axis.kind === 'line' ? axis.y1 : 0;
    expect((zero - cross) / (zero - ring[1]!)).toBeCloseTo(0.54 / 0.52, 6); // the first is of the key
  });

  test('explains its letters', () => {
    const [thickness] = followCharts(result, 'Slim', measure) as [Drawing, Drawing];
    expect(texts(thickness).join(' ')).toContain('T trimmed, X rejected, S another program to be set, E stop.');
    expect(texts(thickness)).toContain('2026-03-03');
  });
});

describe('a fit', () => {
  test('shows what was measured against it, with the fitted values and their intervals', () => {
    const estimate = {
      name: 'viscosity_factor',
      estimate: 1.061,
      low: 1.027,
      high: 1.097,
      open: null,
      standard_error: 0.02,
    };
    const kept = { name: 'dead_time_s', estimate: 0, low: null, high: null, open: null, standard_error: null };
    const row = (line: number, model_uL: number) => ({
      line,
      pressure_kPa: 100,
      dwell_s: 0.5,
      measured_uL: model_uL * 1.01,
      model_uL,
      residual_pct: 1,
      leverage: 0.1,
      outlier: false,
    });
    const fit = {
      parameters: [
        { ...estimate, fixed: false, at_bound: false },
        { ...kept, fixed: true, at_bound: false },
      ],
      ...{ residuals: [row(2, 1), row(3, 2)], rows: 2, residual_sd: 0.036, pure_error_sd: null },
    } as unknown as FitResult;
    const [chart] = fitCharts(fit, new Map(), { title: 'Slim: fit of runs.csv', measure });
    const all = texts(chart!).join(' ');
    expect(all).toContain('Slim: fit of runs.csv');
    expect(all).toContain('viscosity_factor 1.061 (1.027 to 1.097); dead_time_s 0, kept.');
    expect(all).toContain('2 rows, scatter 3.60 %.');
  });
});

describe('a cure in the oven', () => {
  test('says on both charts of which recipe and of which shot it is', () => {
    const course = [0, 10].map(min => ({ min, temperature_C: 23 + 6 * min, conversion: min / 20, glass_C: null }));
    const cure = { course, age_min: 12, gel_min: null, gel_conversion: 0.5, glass_end_C: null, required_glass_C: null };
    const charts = ovenCharts(cure as unknown as OvenResult, 'Cure: Slim pigtail', measure);
    expect(charts).toHaveLength(2);
    for (const chart of charts) {
      expect(chart.title).toContain('Slim pigtail');
      expect(texts(chart)).toContain('Of a connector shot 12 min after mixing.');
    }
  });
});
