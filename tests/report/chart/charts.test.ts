import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readFonts } from '../../../src/files/fonts.ts';
import { axisScale } from '../../../src/report/chart/axis-scale.ts';
import { barChart } from '../../../src/report/chart/bar-chart.ts';
import { chartSheet } from '../../../src/report/chart/chart-sheet.ts';
import type { LineChartSpec } from '../../../src/report/chart/chart-spec.ts';
import type { Drawing } from '../../../src/report/chart/drawing.ts';
import { spread } from '../../../src/report/chart/frame.ts';
import { lineChart } from '../../../src/report/chart/line-chart.ts';
import { hatch } from '../../../src/report/chart/strokes.ts';
import { timeline } from '../../../src/report/chart/timeline.ts';
import { drawPdf } from '../../../src/report/page/draw-pdf.ts';
import type { BoxMark, CircleMark, LineMark, PathMark, TextMark } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { markRectangle, textRectangle } from '../pdf/layout-check.ts';
import { openPdf, textOf } from '../pdf/read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);

const texts = (d: Drawing) => d.marks.filter((m): m is TextMark => m.kind === 'text');
const circles = (d: Drawing) => d.marks.filter((m): m is CircleMark => m.kind === 'circle');
const paths = (d: Drawing) => d.marks.filter((m): m is PathMark => m.kind === 'path');
const lines = (d: Drawing) => d.marks.filter((m): m is LineMark => m.kind === 'line');
const at = (d: Drawing, label: string) => texts(d).find(t => t.text === label)!;

function collisionsOfText(d: Drawing): string[] {
  const boxes = texts(d).map(t => textRectangle(t, measure));
  return boxes.flatMap((a, i) =>
    boxes
      .slice(i + 1)
      .filter(b => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
      .map(b => `"${a.what}" on "${b.what}"`),
  );
}

function beyond(d: Drawing): string[] {
  return d.marks
    .map(m => markRectangle(m, measure))
    .filter(r => !(r.left >= -0.01 && r.right <= d.width + 0.01 && r.top >= -0.01 && r.bottom <= d.height + 0.01))
    .map(r => `${r.what} at ${r.left}, ${r.top} to ${r.right}, ${r.bottom}`);
}

const SPEC: LineChartSpec = {
  title: 'Dwell against age',
  x: { label: 'age min' },
  y: { label: 'dwell s' },
  series: [
    {
      name: 'needed',
      points: [
        [0, 1],
        [10, 2],
        [20, 4],
      ],
    },
  ],
};

describe('a line chart', () => {
  test('puts points where its own tick labels say they are', () => {
    const d = lineChart(SPEC, undefined, measure);
    const [x0, x20] = [at(d, '0').x, at(d, '20').x];
    const dots = circles(d);
    expect(dots).toHaveLength(3);
    expect(dots[1]!.x).toBeCloseTo(x0 + (x20 - x0) / 2, 9);
    const [y1, y4] = [at(d, '1').y, at(d, '4').y]; // labels stand a constant below their ticks
    expect((dots[0]!.y - dots[1]!.y) / (y1 - y4)).toBeCloseTo(1 / 3, 9);
    expect((dots[0]!.y - dots[2]!.y) / (y1 - y4)).toBeCloseTo(1, 9);
  });

  test('spaces a logarithmic axis by ratios', () => {
    const d = lineChart({ ...SPEC, y: { label: 'dwell s', scale: 'log' } }, undefined, measure);
    const dots = circles(d);
    expect(dots[0]!.y - dots[1]!.y).toBeCloseTo(dots[1]!.y - dots[2]!.y, 9);
  });

  test('leaves a gap where a value is missing, and joins nothing across it', () => {
    const points = [
      [0, 1],
      [1, 2],
      [2, null],
      [3, 2],
      [4, 1],
    ] as const;
    const d = lineChart({ ...SPEC, series: [{ name: 'a', points }] }, undefined, measure);
    expect(paths(d)[0]!.commands.map(c => c[0])).toEqual(['M', 'L', 'M', 'L']);
    expect(circles(d)).toHaveLength(4);
  });

  test('draws steps level until the next point', () => {
    const d = lineChart({ ...SPEC, series: [{ ...SPEC.series[0]!, line: 'steps' }] }, undefined, measure);
    const ys = paths(d)[0]!.commands.map(c => c[2] as number);
    expect(ys[1]).toBe(ys[0]);
    expect(ys[3]).toBe(ys[2]);
    expect(ys[2]).not.toBe(ys[1]);
  });

  test('cuts nothing off: an axis reaches its given ends, or further where data lie beyond', () => {
    const scale = axisScale({ label: 'y', min: 0, max: 3 }, [1, 4], 0, 100, 5);
    expect(scale.domain).toEqual([0, 4]);
    expect(axisScale({ label: 'y', min: 0, max: 10 }, [1, 4], 0, 100, 5).domain).toEqual([0, 10]);
  });

  test('tells every series apart without colour', () => {
    const series = Array.from({ length: 7 }, (_, i) => ({ name: `s${i}`, points: [[0, i] as const, [1, i] as const] }));
    const d = lineChart({ ...SPEC, series }, undefined, measure);
    const looks = series.map((_, i) => {
      const y = at(d, `s${i}`).y - 0.95; // samples stand in the key beside the name
      const x = at(d, `s${i}`).x - 11;
      const sample = d.marks.filter(m => {
        const r = markRectangle(m, measure);
        return (
          m.kind !== 'text' && r.left >= x - 0.01 && r.right <= x + 9.01 && Math.abs((r.top + r.bottom) / 2 - y) < 0.5
        );
      });
      return JSON.stringify(sample.map(m => [m.kind, 'dash' in m ? m.dash : null, 'fill' in m ? m.fill : null]));
    });
    expect(new Set(looks).size).toBe(7);
  });

  test('draws limits across the plot, bands as hatches and circles the noted points', () => {
    const d = lineChart(
      {
        ...SPEC,
        series: [{ ...SPEC.series[0]!, notes: [{ index: 2, text: '1, 5' }] }],
        rules: [{ axis: 'y', at: 3, name: 'upper limit' }],
        bands: [{ axis: 'y', from: 1.5, to: 2.5, name: 'window' }],
      },
      undefined,
      measure,
    );
    const dots = circles(d);
    const limit = lines(d).find(l => l.dash !== undefined && l.y1 === l.y2)!;
    expect(limit.y1).toBeCloseTo((dots[1]!.y + dots[2]!.y) / 2, 9); // 3 is midway between the points at 2 and 4
    expect(dots.filter(c => c.radiusX === 1.9).map(c => [c.x, c.y])).toEqual([[dots[2]!.x, dots[2]!.y]]);
    expect(at(d, '1, 5')).toBeDefined();
    const box = markRectangle(paths(d)[0]!, measure);
    const unit = (dots[0]!.y - dots[2]!.y) / 3;
    expect(box.bottom - box.top).toBeCloseTo(unit, 9); // the band is one unit high
  });

  test('names a value that its axis cannot show', () => {
    const log = { ...SPEC, y: { label: 'dwell s', scale: 'log' as const, min: 0 } };
    expect(() => lineChart(log)).toThrow(/0 on the logarithmic axis "dwell s"/);
    const bad = { ...SPEC, series: [{ name: 'a', points: [[0, Number.NaN] as const] }] };
    expect(() => lineChart(bad)).toThrow(/NaN/);
  });

  test('draws axes even without data', () => {
    const d = lineChart({ ...SPEC, series: [] }, undefined, measure);
    expect(beyond(d)).toEqual([]);
    expect(at(d, '0')).toBeDefined();
  });

  test('keeps texts apart and everything inside, whatever the numbers', () => {
    const number = fc.oneof(
      fc.double({ min: -1e6, max: 1e6, noNaN: true }),
      fc.double({ min: 1e-6, max: 1e-3, noNaN: true }),
      fc.constant(0),
    );
    const point = fc.tuple(number, fc.option(number));
    fc.assert(
      fc.property(
        fc.array(fc.array(point, { maxLength: 12 }), { maxLength: 6 }),
        fc.array(number, { maxLength: 4 }),
        fc.constantFrom('a', 'a rather long name of a series that goes on and on', 'w'.repeat(200)),
        (series, levels, name) => {
          const d = lineChart(
            {
              title: name,
              x: { label: name },
              y: { label: name },
              series: series.map((points, i) => ({ name: `${name} ${i}`, points })),
              rules: levels.map((v, i) => ({ axis: i % 2 === 0 ? 'y' : 'x', at: v, name: `limit ${i}` })),
            },
            undefined,
            measure,
          );
          expect(beyond(d)).toEqual([]);
          expect(collisionsOfText(d)).toEqual([]);
        },
      ),
      { seed: 11, numRuns: 150 },
    );
  });
});

test('bars are as long as their values, and say them', () => {
  const d = barChart(
    {
      title: 'Shares',
      label: 'share %',
      bars: [
        { name: 'needle.bore', value: 60, text: '60 %' },
        { name: 'lot', value: 30, text: '30 %' },
        { name: 'jitter', value: 0, text: '0 %' },
      ],
    },
    170,
    measure,
  );
  const boxes = d.marks.filter((m): m is BoxMark => m.kind === 'box');
  expect(boxes).toHaveLength(2);
  expect(boxes[0]!.boxWidth / boxes[1]!.boxWidth).toBeCloseTo(2, 9);
  expect(at(d, '0 %')).toBeDefined();
  expect(beyond(d)).toEqual([]);
  expect(collisionsOfText(d)).toEqual([]);
});

test('a timeline puts spans and events on one scale of time', () => {
  const d = timeline(
    {
      title: 'Kit',
      x: { label: 'min' },
      rows: [
        { name: 'mix', spans: [{ from: 0, to: 10, look: 'hatched' }] },
        { name: 'syringe', spans: [{ from: 10, to: 40, label: '42 connectors' }] },
      ],
      events: [
        { at: 40, label: 'pot life' },
        { at: 41, label: 'thrown away' },
      ],
    },
    170,
    measure,
  );
  const boxes = d.marks.filter((m): m is BoxMark => m.kind === 'box');
  expect(boxes[1]!.boxWidth / boxes[0]!.boxWidth).toBeCloseTo(3, 9);
  expect(boxes[1]!.x).toBeCloseTo(boxes[0]!.x + boxes[0]!.boxWidth, 9);
  const event = lines(d).find(l => l.dash !== undefined)!;
  expect(event.x1).toBeCloseTo(boxes[1]!.x + boxes[1]!.boxWidth, 9);
  expect(beyond(d)).toEqual([]);
  expect(collisionsOfText(d)).toEqual([]);
});

test('hatching stays inside its box and reaches its corners', () => {
  const box = { x: 10, y: 20, width: 30, height: 8 };
  const [path] = hatch(box) as PathMark[];
  const r = markRectangle(path!, measure);
  expect(r.left).toBeGreaterThanOrEqual(10);
  expect(r.right).toBeLessThanOrEqual(40);
  expect(r.top).toBeCloseTo(20, 9);
  expect(r.bottom).toBeCloseTo(28, 9);
});

describe('names that would overlap', () => {
  test('are pushed apart about their common middle, in their order', () => {
    expect(spread([10, 10.5, 30], 3)).toEqual([8.75, 11.75, 30]);
  });
  test('stay where they are when there is room', () => {
    expect(spread([3, 0, 9], 3)).toEqual([3, 0, 9]);
  });
});

test('charts go onto pages whole, with their words for the blind, and make the same file twice', async () => {
  const drawing = lineChart(SPEC, { width: 170, height: 100 }, measure);
  const sheet = chartSheet(
    {
      drawings: [drawing, drawing, drawing],
      paper: 'a4',
      title: 'Charts',
      made: 'from shots.csv',
      creator: 'dwellbook 0.1.0',
      created: new Date('2026-11-25T00:00:00Z'),
    },
    measure,
  );
  expect(sheet.pages.map(p => p.blocks.filter(b => b.tag === 'Figure').length)).toEqual([2, 1]);
  const bytes = await drawPdf(sheet, fonts);
  expect(Buffer.compare(bytes, await drawPdf(sheet, fonts))).toBe(0);
  const pdf = await openPdf(bytes);
  expect(await textOf(pdf, 1)).toContain('Dwell against age');
  expect(JSON.stringify(await (await pdf.getPage(2)).getStructTree())).toContain(
    'dwell s over age min: needed (3 points)',
  );
});
