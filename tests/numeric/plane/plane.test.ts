import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fittedCircle } from '../../../src/numeric/plane/circle-fit.ts';
import {
  composed,
  fittedHomography,
  type Homography,
  inverted,
  localMap,
  mapped,
  type Point,
} from '../../../src/numeric/plane/homography.ts';
import { outlineArea, outlineMiddle, outlineWidths } from '../../../src/numeric/plane/outline.ts';
import { crossing } from '../../../src/numeric/plane/step-edge.ts';
import { randomSource } from '../../../src/numeric/random.ts';

/** A sheet of 200 mm × 300 mm, turned, stretched, tilted, and somewhere in a picture. */
const pose = fc
  .record({
    turn: fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
    stretch: fc.double({ min: 0.9, max: 1.1, noNaN: true }),
    size: fc.double({ min: 3, max: 50, noNaN: true }),
    tiltX: fc.double({ min: -1e-3, max: 1e-3, noNaN: true }),
    tiltY: fc.double({ min: -1e-3, max: 1e-3, noNaN: true }),
  })
  .map(({ turn, stretch, size, tiltX, tiltY }): Homography => {
    const [c, s] = [Math.cos(turn) * size, Math.sin(turn) * size];
    return [c, -s * stretch, 900, s, c * stretch, -700, tiltX, tiltY, 1];
  });

const GRID: Point[] = [0, 70, 130, 200].flatMap(x => [0, 110, 210, 300].map(y => ({ x, y })));
const CORNERS = [GRID[0]!, GRID[3]!, GRID[12]!, GRID[15]!];

describe('a homography', () => {
  test('comes back from its own points, four or many', () => {
    fc.assert(
      fc.property(pose, fc.constantFrom(GRID, CORNERS), (h, points) => {
        const found = fittedHomography(points.map(from => ({ from, to: mapped(h, from) })))!;
        for (const p of GRID) {
          const [a, b] = [mapped(h, p), mapped(found, p)];
          expect(Math.hypot(a.x - b.x, a.y - b.y)).toBeLessThan(1e-7 * Math.hypot(a.x, a.y));
        }
      }),
      { seed: 1, numRuns: 200 },
    );
  });

  test('and its inverse undo each other; its local map is that of small steps', () => {
    fc.assert(
      fc.property(pose, fc.constantFrom(...GRID), (h, p) => {
        const back = mapped(composed(inverted(h), h), p);
        expect(back.x).toBeCloseTo(p.x, 8);
        expect(back.y).toBeCloseTo(p.y, 8);
        const step = 1e-4;
        const [a, b, c, d] = localMap(h, p);
        const at = (x: number, y: number) => mapped(h, { x: p.x + x, y: p.y + y });
        expect(a).toBeCloseTo((at(step, 0).x - at(-step, 0).x) / (2 * step), 4);
        expect(b).toBeCloseTo((at(0, step).x - at(0, -step).x) / (2 * step), 4);
        expect(c).toBeCloseTo((at(step, 0).y - at(-step, 0).y) / (2 * step), 4);
        expect(d).toBeCloseTo((at(0, step).y - at(0, -step).y) / (2 * step), 4);
      }),
      { seed: 2, numRuns: 100 },
    );
  });

  test('of points with noise lies nearer to them than the true one does: it has the least squares', () => {
    const random = randomSource(5);
    const h: Homography = [11, -2, 40, 3, 12, -9, 4e-4, -3e-4, 1];
    const pairs = GRID.map(from => {
      const to = mapped(h, from);
      return { from, to: { x: to.x + random.normal() * 0.3, y: to.y + random.normal() * 0.3 } };
    });
    const misfit = (m: Homography) =>
      pairs.reduce((sum, { from, to }) => {
        const at = mapped(m, from);
        return sum + (at.x - to.x) ** 2 + (at.y - to.y) ** 2;
      }, 0);
    const found = fittedHomography(pairs)!;
    expect(misfit(found)).toBeLessThan(misfit(h));
    // No small change of any element makes it better.
    for (let i = 0; i < 8; i++) {
      for (const change of [1 - 1e-6, 1 + 1e-6]) {
        const other = found.map((v, j) => (i === j ? v * change : v)) as unknown as Homography;
        expect(misfit(other)).toBeGreaterThanOrEqual(misfit(found));
      }
    }
  });

  test('is not made up where points do not fix it', () => {
    const line = GRID.map(({ x }) => ({ from: { x, y: 2 * x }, to: { x, y: 0 } }));
    expect(fittedHomography(line)).toBeNull();
    expect(fittedHomography(CORNERS.slice(1).map(p => ({ from: p, to: p })))).toBeNull();
    expect(fittedHomography(CORNERS.map(() => ({ from: CORNERS[0]!, to: CORNERS[0]! })))).toBeNull();
    expect(() => inverted([1, 2, 0, 2, 4, 0, 0, 0, 1])).toThrow(/determinant/);
  });
});

describe('a circle', () => {
  test('of least squared distance, as published', () => {
    // Gander, Golub, Strebel (1994), their six points and the result of their geometric fit: middle 4.7398, 2.9835, radius 4.7142
    const points = [
      [1, 7],
      [2, 6],
      [5, 8],
      [7, 7],
      [9, 5],
      [3, 7],
    ].map(([x, y]) => ({ x: x!, y: y! }));
    const found = fittedCircle(points)!;
    expect(found.x).toBeCloseTo(4.7398, 4);
    expect(found.y).toBeCloseTo(2.9835, 4);
    expect(found.radius).toBeCloseTo(4.7142, 4);
  });

  test('comes back from points on it', () => {
    const points = [0.1, 1, 2, 3.3, 5].map(t => ({ x: 12 + 3 * Math.cos(t), y: -4 + 3 * Math.sin(t) }));
    const found = fittedCircle(points)!;
    expect([found.x, found.y, found.radius].map(v => v.toFixed(9))).toEqual([
      '12.000000000',
      '-4.000000000',
      '3.000000000',
    ]);
    expect(found.scatter).toBeLessThan(1e-12);
    expect(fittedCircle([0, 1, 2, 3].map(x => ({ x, y: 2 * x })))).toBeNull();
  });
});

test('an outline has the area, middle and widths of an ellipse', () => {
  const points = Array.from({ length: 720 }, (_, i) => {
    const t = (i * Math.PI) / 360;
    return { x: 100 + 3 * Math.cos(t), y: 50 + 2 * Math.sin(t) };
  });
  expect(outlineArea(points)).toBeCloseTo(6 * Math.PI, 3);
  expect(outlineMiddle(points).x).toBeCloseTo(100, 9);
  expect(outlineMiddle(points).y).toBeCloseTo(50, 9);
  expect(outlineWidths(points).greatest).toBeCloseTo(6, 4);
  expect(outlineWidths(points).least).toBeCloseTo(4, 4);
});

test('a crossing lies between two samples, or is none', () => {
  expect(crossing([10, 10, 8, 0, 0], 4, { start: 0, step: 1 })).toBe(2.5);
  expect(crossing([10, 10, 8, 0, 0], 4, { start: 4, step: -1 })).toBe(2.5);
  expect(crossing([10, 9, 8], 4, { start: 0, step: 1 })).toBeNull();
});
