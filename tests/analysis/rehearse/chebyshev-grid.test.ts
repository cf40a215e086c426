import { expect, it } from 'vitest';
import { chebyshevGrid } from '../../../src/analysis/rehearse/chebyshev-grid.ts';

const axis = (low: number, high: number, nodes: number) => ({ low, high, nodes });

it('a polynomial of the grid’s degree is met exactly, an axis of one point being left out', () => {
  const f = (x: number, y: number) => 2 + x ** 3 - 4 * x * y ** 2 + y;
  const grid = chebyshevGrid(f, [axis(-1, 3, 4), axis(2, 5, 3), axis(7, 7, 1)])!;
  for (const [x, y] of [
    [-0.8, 2.1],
    [0.3, 4.4],
    [2.9, 3],
  ] as const) {
    expect(grid.at(x, y, 123)).toBeCloseTo(f(x, y), 10);
  }
});

it('so is it along the last axis', () => {
  const f = (x: number, y: number, z: number) => x * y - 3 * z ** 3 + x ** 2 * z;
  const grid = chebyshevGrid(f, [axis(-1, 3, 3), axis(2, 5, 2), axis(0, 4, 4)])!;
  const along = grid.along(0.4, 4.1);
  for (const z of [0.1, 1.7, 3.9]) expect(along(z)).toBeCloseTo(f(0.4, 4.1, z), 10);
});

it('an exponential is met to the bound of its nodes', () => {
  // |error| ≤ 2·max|f⁽ⁿ⁾|/(n!·4ⁿ)·(b − a)ⁿ/2ⁿ… for n = 12 on [0, 2]: e²·2/(12!·2¹²)·1 < 1e-11.
  const grid = chebyshevGrid(x => Math.exp(x), [axis(0, 2, 12), axis(0, 0, 1), axis(0, 0, 1)])!;
  for (const x of [0.01, 0.77, 1.3, 1.99]) expect(Math.abs(grid.at(x, 0, 0) - Math.exp(x))).toBeLessThan(1e-10);
});

it('at a node the value is the function’s own, and a function that is not finite gives none', () => {
  const grid = chebyshevGrid(x => x ** 2, [axis(-1, 1, 5), axis(0, 0, 1), axis(0, 0, 1)])!;
  expect(grid.at(0, 0, 0)).toBeCloseTo(0, 15);
  expect(chebyshevGrid(x => Math.log(x), [axis(-1, 1, 4), axis(0, 0, 1), axis(0, 0, 1)])).toBeNull();
});
