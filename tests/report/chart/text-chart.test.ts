import { expect, test } from 'vitest';
import { textChart } from '../../../src/report/chart/text-chart.ts';

const spec = {
  title: 'Shots',
  xLabel: 'check',
  yLabel: 'volume',
  series: [
    {
      name: 'a',
      points: [
        [0, 0],
        [1, 10],
        [2, 5],
      ] as [number, number][],
    },
  ],
};

test('puts the points in the rows and columns of their values', () => {
  const rows = textChart({ ...spec, width: 30, height: 9 })
    .split('\n')
    .slice(2, -1); // 5 rows for 0, 2.5 … 10
  expect(rows).toHaveLength(5);
  const place = (row: number) => rows[row]!.indexOf('*');
  expect(rows[0]).toMatch(/^10 \+/);
  expect(rows[4]).toMatch(/^ 0 \+/);
  expect(place(4)).toBe(4); // first column after the axis
  expect(place(0)).toBe(4 + 13); // middle of 26 columns, rounded
  expect(place(2)).toBe(4 + 25);
});

test('names its rules at the right and draws them behind the points', () => {
  const text = textChart({ ...spec, rules: [{ at: 10, name: 'limit' }] });
  const row = text.split('\n').find(l => l.endsWith(' limit'))!;
  expect(row).toMatch(/-+\*-+ limit$/);
});

test('is never wider than asked for, and has no space at the ends of lines', () => {
  for (const width of [40, 72, 120]) {
    const lines = textChart({ ...spec, width, rules: [{ at: 3, name: 'lower' }] }).split('\n');
    expect(Math.max(...lines.map(l => l.length))).toBeLessThanOrEqual(width);
    for (const line of lines) expect(line).toBe(line.trimEnd());
  }
});

test('is empty where there is nothing to draw', () => {
  expect(textChart({ ...spec, series: [{ name: 'a', points: [[0, null]] }] })).toBe('');
});
