import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { matrix, qrFactors } from '../../src/numeric/linear-algebra.ts';
import { singularValues } from '../../src/numeric/singular-values.ts';

const valuesOf = (rows: number, columns: number, data: number[]) =>
  singularValues(qrFactors(matrix({ rows, columns }, data)));

describe('singular values', () => {
  test('two by two, by hand: [3 0; 4 5] has 3√5 and √5', () => {
    // AᵀA = [25 20; 20 25]: eigenvalues 45 and 5
    const [first, second] = valuesOf(2, 2, [3, 0, 4, 5]);
    expect(first).toBeCloseTo(3 * Math.sqrt(5), 13);
    expect(second).toBeCloseTo(Math.sqrt(5), 13);
  });

  test('the small one keeps its digits where AᵀA has lost it (Läuchli)', () => {
    // [1 1; ε 0; 0 ε]: √(2 + ε²) and ε; 1 + ε² is 1 in double precision
    const small = 1e-9;
    const [first, second] = valuesOf(3, 2, [1, 1, small, 0, 0, small]);
    expect(first).toBeCloseTo(Math.SQRT2, 14);
    expect(second! / small).toBeCloseTo(1, 6);
  });

  test('their squares add up to those of all elements, and orthogonal columns give their lengths', () => {
    expect([...valuesOf(3, 2, [0, 3, 4, 0, 0, 0])]).toEqual([4, 3]);
    const elements = fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { minLength: 12, maxLength: 12 });
    fc.assert(
      fc.property(elements, data => {
        const squares = data.reduce((sum, v) => sum + v * v, 0);
        const found = valuesOf(4, 3, data).reduce((sum, v) => sum + v * v, 0);
        expect(Math.abs(found - squares)).toBeLessThanOrEqual(1e-13 * squares);
      }),
      { seed: 3 },
    );
  });
});
