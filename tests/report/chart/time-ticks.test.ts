import { describe, expect, test } from 'vitest';
import { clockTicks, timeTicks } from '../../../src/report/chart/time-ticks.ts';

const daily = (days: number) =>
  Array.from({ length: days }, (_, i) => new Date(Date.UTC(2026, 1, 25 + i, 6, 40)).toISOString());

describe('ticks of points with times', () => {
  test('are the days where there are several, at the points themselves', () => {
    expect(timeTicks(daily(3))).toEqual([
      { value: 1, label: '2026-02-25' },
      { value: 2, label: '2026-02-26' },
      { value: 3, label: '2026-02-27' },
    ]);
    const many = timeTicks(daily(60))!;
    expect(many.length).toBeLessThanOrEqual(7);
    for (const { value, label } of many) expect(label).toBe(daily(60)[value - 1]!.slice(0, 10));
  });

  test('are times of the day where all are of one', () => {
    expect(timeTicks(['2026-03-02T06:40:00Z', '2026-03-02 07:15'])!.map(t => t.label)).toEqual(['06:40', '07:15']);
  });

  test('are none where a name is no time', () => {
    expect(timeTicks(['2026-03-02', 'S-118'])).toBeNull();
    expect(timeTicks([])).toBeNull();
  });
});

describe('ticks of a clock', () => {
  test.each([
    [8.2, 14.4, ['08:00', '09:00', '10:00', '11:00', '12:00', '13:00', '14:00', '15:00']],
    [8, 8.4, ['08:00', '08:05', '08:10', '08:15', '08:20', '08:25']],
    [0, 24, ['00:00', '03:00', '06:00', '09:00', '12:00', '15:00', '18:00', '21:00', '24:00']],
  ])('from %f to %f h are at whole steps, as a clock shows them', (from, to, labels) => {
    expect(clockTicks(from, to).map(t => t.label)).toEqual(labels);
  });
});
