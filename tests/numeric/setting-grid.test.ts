import fc from 'fast-check';
import { expect, it } from 'vitest';
import { commonUnit, gridRange, gridValue, isOnGrid } from '../../src/numeric/setting-grid.ts';

it('the common unit of two steps is that of whole numbers: their greatest common divisor', () => {
  const divisor = (a: number, b: number): number => (b === 0 ? a : divisor(b, a % b));
  const whole = fc.integer({ min: 1, max: 300 });
  fc.assert(
    fc.property(whole, whole, (a, b) => {
      const { unit, firstCount, secondCount } = commonUnit(a * 0.001, b * 0.001); // [s], neither exact in binary
      expect(unit / 0.001).toBeCloseTo(divisor(a, b), 9);
      expect([firstCount, secondCount]).toEqual([a / divisor(a, b), b / divisor(a, b)]);
    }),
    { seed: 1 },
  );
});

it('two steps without a common unit share a unit below a millionth of the smaller', () => {
  const { unit, firstCount, secondCount } = commonUnit(Math.SQRT2, 1);
  expect(unit * firstCount).toBeCloseTo(Math.SQRT2, 12);
  expect(Math.abs(unit * secondCount - 1)).toBeLessThan(1e-6);
});

it('limits that are whole steps are on the grid, whatever binary numbers make of them', () => {
  expect(gridValue(53, 0.01)).toBe(0.53);
  expect(gridRange({ min: 0.1, max: 0.3, step: 0.1 })).toEqual({ first: 1, last: 3 });
  expect(gridRange({ min: 0.11, max: 0.29, step: 0.1 })).toEqual({ first: 2, last: 2 });
  expect(gridRange({ min: 0.11, max: 0.19, step: 0.1 })).toEqual({ first: 2, last: 1 });
  expect([0.3, 0.7, 0.35].map(value => isOnGrid(value, 0.1))).toEqual([true, true, false]);
});
