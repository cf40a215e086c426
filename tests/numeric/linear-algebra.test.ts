import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  applyQ,
  applyQTransposed,
  cholesky,
  inverseNormalMatrix,
  leverages,
  matrix,
  qrFactors,
  solveWithQr,
} from '../../src/numeric/linear-algebra.ts';

const numbers = (count: number) =>
  fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { minLength: count, maxLength: count });

describe('Cholesky', () => {
  test('a matrix worked by hand', () => {
    // L = [2 0 0; 6 1 0; −8 5 3], A = L·Lᵀ
    const a = matrix({ rows: 3, columns: 3 }, [4, 12, -16, 12, 37, -43, -16, -43, 98]);
    expect([...cholesky(a)!.data]).toEqual([2, 0, 0, 6, 1, 0, -8, 5, 3]);
  });
  test('what is not positive definite has none', () => {
    expect(cholesky(matrix({ rows: 2, columns: 2 }, [1, 2, 2, 1]))).toBeNull();
    expect(() => cholesky(matrix({ rows: 1, columns: 2 }))).toThrow(/columns/);
  });
});

describe('QR', () => {
  test('Q·R gives the columns back in the pivoted order, and Qᵀ·Q is one', () => {
    fc.assert(
      fc.property(numbers(12), numbers(4), (data, b) => {
        const a = matrix({ rows: 4, columns: 3 }, data);
        const f = qrFactors(a);
        for (let k = 0; k < 3; k++) {
          const r = new Float64Array(4);
          for (let i = 0; i < k; i++) r[i] = f.packed[i * 3 + k]!;
          r[k] = f.diagonal[k]!;
          const column = applyQ(f, r);
          for (let i = 0; i < 4; i++) expect(column[i]).toBeCloseTo(a.data[i * 3 + f.pivot[k]!]!, 11);
        }
        const back = applyQ(f, applyQTransposed(f, Float64Array.from(b)));
        for (let i = 0; i < 4; i++) expect(back[i]).toBeCloseTo(b[i]!, 11);
      }),
      { seed: 1 },
    );
  });

  test('columns whose squares underflow leave Q a rotation', () => {
    const f = qrFactors(matrix({ rows: 4, columns: 3 }, [1.8e-99, 0, 0, 0, 0, 2.3e-246, 0, 5e-323, 0, 0, 5e-324, 0]));
    expect(f.rank).toBe(1);
    const b = [0, 0, 0, -1];
    const back = applyQ(f, applyQTransposed(f, Float64Array.from(b)));
    for (let i = 0; i < 4; i++) expect(back[i]).toBeCloseTo(b[i]!, 12);
  });

  test('a straight line by hand: x̄ 1, slope 1/2, level 1', () => {
    // y = 1, 1, 2 at x = 0, 1, 2: slope Σ(x − 1)(y − 4/3)/2 = 1/2, level 4/3 − 1/2 = 5/6; (XᵀX)⁻¹ = [5 −3; −3 3]/6
    const x = matrix({ rows: 3, columns: 2 }, [1, 0, 1, 1, 1, 2]);
    const f = qrFactors(x);
    const [level, slope] = solveWithQr(f, [1, 1, 2]);
    expect(level).toBeCloseTo(5 / 6, 14);
    expect(slope).toBeCloseTo(1 / 2, 14);
    const inverse = inverseNormalMatrix(f).data;
    for (const [i, v] of [5 / 6, -1 / 2, -1 / 2, 1 / 2].entries()) expect(inverse[i]).toBeCloseTo(v, 14);
    const h = leverages(f);
    for (const [i, v] of [5 / 6, 1 / 3, 5 / 6].entries()) expect(h[i]).toBeCloseTo(v, 14);
  });

  test('dependent columns lower the rank; the one put last gets zero', () => {
    const f = qrFactors(matrix({ rows: 3, columns: 2 }, [1, 2, 2, 4, 3, 6]));
    expect(f.rank).toBe(1);
    const x = solveWithQr(f, [1, 2, 3]);
    expect(x[0]).toBe(0);
    expect(x[1]).toBeCloseTo(0.5, 14);
    expect(() => inverseNormalMatrix(f)).toThrow(/rank/);
    expect(() => qrFactors(matrix({ rows: 1, columns: 2 }))).toThrow(/rows/);
  });

  test('huge and tiny columns do not overflow', () => {
    const f = qrFactors(matrix({ rows: 2, columns: 2 }, [1e200, 0, 0, 1e-200]));
    expect(Math.abs(f.diagonal[0]!)).toBe(1e200);
  });
});
