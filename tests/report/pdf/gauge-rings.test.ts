import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { ringLines, ringMark, ringSample } from '../../../src/report/pdf/gauge-rings.ts';
import { exampleGauge } from './gauge-example.ts';

const at = { x: 0, y: 0 };
const names = ['min', 'aim', 'max'] as const;

describe('the line of aim', () => {
  test('is as wide as the tolerance where there is room: its edges are the diameters of ok', () => {
    const gauge = exampleGauge({ ok_mm: [5.9, 6.34] }, [5.06, 6.12, 6.94]);
    const lines = ringLines(gauge);
    expect(lines.aimIsTolerance).toBe(true);
    const { radiusX, width } = ringMark(gauge, lines, { name: 'aim', ...at });
    expect(2 * radiusX - width).toBeCloseTo(5.9, 6);
    expect(2 * radiusX + width).toBeCloseTo(6.34, 6);
  });

  test.each([
    ['the tolerance is finer than a line', [5.06, 6.12, 6.94], [6.02, 6.22]],
    ['it would run into a ring', [7.46, 8.27, 8.98], [7.95, 8.57]],
    ['the window cuts the tolerance', [5.06, 6.12, 6.94], [5.76, 6.2]],
    ['it would be a broad black band', [80, 100, 118], [96.5, 103.2]],
  ])('is a line like the others where %s', (_, diameters, ok) => {
    const lines = ringLines(exampleGauge({ ok_mm: ok as [number, number] }, diameters));
    expect(lines.aimIsTolerance).toBe(false);
    expect(new Set(Object.values(lines.widths)).size).toBe(1);
  });
});

describe('any rings', () => {
  const gauges = fc
    .record({
      aim: fc.double({ min: 0.5, max: 150, noNaN: true }),
      below: fc.double({ min: 0.001, max: 0.4, noNaN: true }),
      above: fc.double({ min: 0.001, max: 0.4, noNaN: true }),
      tolerance: fc.double({ min: 0, max: 0.3, noNaN: true }),
    })
    .map(({ aim, below, above, tolerance }) =>
      exampleGauge({ ok_mm: [aim * Math.max(1 - below, 1 - tolerance), aim * Math.min(1 + above, 1 + tolerance)] }, [
        aim * (1 - below),
        aim,
        aim * (1 + above),
      ]),
    );

  test('keep white between two lines, or take turns', () => {
    fc.assert(
      fc.property(gauges, gauge => {
        const lines = ringLines(gauge);
        const marks = names.map(name => ringMark(gauge, lines, { name, ...at }));
        for (const mark of marks) expect(mark.width).toBeGreaterThanOrEqual(0.2);
        if (lines.inTurns) return;
        for (const [i, outer] of marks.slice(1).entries()) {
          const inner = marks[i]!;
          expect(outer.radiusX - outer.width / 2 - inner.radiusX - inner.width / 2).toBeGreaterThan(0.149);
        }
      }),
      { seed: 3 },
    );
  });

  test('that take turns cover each angle once', () => {
    const gauge = exampleGauge({}, [6.1, 6.45, 6.8]);
    const lines = ringLines(gauge);
    expect(lines.inTurns).toBe(true);
    const marks = names.map(name => ringMark(gauge, lines, { name, ...at }));
    for (let share = 0.0005; share < 1; share += 0.001) {
      const drawn = marks.filter(({ radiusX, dash, phase }) => {
        const [on, off] = dash as [number, number];
        return (share * 2 * Math.PI * radiusX + phase!) % (on + off) < on;
      });
      expect(drawn).toHaveLength(1);
    }
  });

  test('show in the table which is which', () => {
    const gauge = exampleGauge({}, [6.1, 6.45, 6.8]);
    const samples = names.map(name => ringSample(name, ringLines(gauge), 9));
    expect(samples.map(s => s.alt)).toEqual(['inner arcs', 'middle arcs', 'outer arcs']);
    const ends = samples.map(s => s.draw(0, 0).map(m => (m.kind === 'line' ? [m.x1, m.x2] : []))[0]!);
    expect(ends).toEqual([
      [0, 3],
      [3, 6],
      [6, 9],
    ]);
  });
});
