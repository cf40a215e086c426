import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DomainError } from '../../src/numeric/domain-error.ts';
import { pchip } from '../../src/numeric/pchip.ts';

describe('pchip', () => {
  it('gives the values and slopes of an independent implementation', () => {
    // SciPy 1.17.1, PchipInterpolator([0, 1, 3, 4, 7, 8], [0, 2, 2.5, 2.5, 6, 5]): x, value, slope
    const expected = [
      [0.3, 0.7811013513513513, 2.5402927927927927],
      [0.5, 1.262105855855856, 2.232545045045045],
      [2.2, 2.4174054054054057, 0.2043243243243243],
      [3.5, 2.5, 0],
      [5.1, 3.5665925925925923, 1.6255555555555556],
      [6.9, 5.9885925925925925, 0.2255555555555553],
      [7.4, 5.796, -0.9466666666666672],
    ] as const;
    const curve = pchip([0, 1, 3, 4, 7, 8], [0, 2, 2.5, 2.5, 6, 5]);
    for (const [x, value, slope] of expected) {
      expect(curve(x)).toBeCloseTo(value, 13); // 16 digits printed, rounding of a few operations
      expect(curve.derivative(x)).toBeCloseTo(slope, 13);
    }
  });

  it('keeps a straight line straight, inside and outside', () => {
    const line = pchip([0, 1, 4, 4.5], [1, 3, 9, 10]);
    for (const x of [-2, 0, 0.7, 2, 4.4, 4.5, 9]) {
      expect(line(x)).toBeCloseTo(1 + 2 * x, 12);
      expect(line.derivative(x)).toBeCloseTo(2, 12);
    }
  });

  it('is constant for one point and straight for two', () => {
    expect(pchip([3], [7])(-100)).toBe(7);
    expect(pchip([0, 2], [1, 5])(3)).toBeCloseTo(7, 14);
  });

  it('passes through its points and never turns where they do not', () => {
    const table = fc
      .array(fc.tuple(fc.integer({ min: 1, max: 50 }), fc.integer({ min: 0, max: 100 })), {
        minLength: 2,
        maxLength: 12,
      })
      .map(steps => {
        const x: number[] = [];
        const y: number[] = [];
        for (const [dx, dy] of steps) {
          x.push((x.at(-1) ?? 0) + dx);
          y.push((y.at(-1) ?? 0) + dy);
        }
        return { x, y };
      });
    fc.assert(
      fc.property(table, ({ x, y }) => {
        const curve = pchip(x, y);
        x.forEach((at, i) => {
          expect(Math.abs(curve(at) - y[i]!)).toBeLessThanOrEqual(1e-12 * y[i]!);
        });
        for (let i = 1; i < x.length; i++) {
          for (let k = 0; k <= 20; k++) {
            const at = x[i - 1]! + ((x[i]! - x[i - 1]!) * k) / 20;
            expect(curve.derivative(at)).toBeGreaterThanOrEqual(-1e-9);
          }
        }
      }),
      { seed: 11 },
    );
  });

  it('refuses tables that make no sense', () => {
    expect(() => pchip([], [])).toThrow(DomainError);
    expect(() => pchip([0, 0], [1, 2])).toThrow(DomainError);
    expect(() => pchip([0, 1], [1])).toThrow(DomainError);
    expect(() => pchip([0, Number.NaN], [1, 2])).toThrow(DomainError);
    expect(() => pchip([0, 1], [1, Number.NaN])).toThrow(/y\[1\]/);
    expect(() => pchip([0, 1], [1, 2])(Number.NaN)).toThrow(DomainError);
  });
});
