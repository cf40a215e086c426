import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ConvergenceError } from '../../src/numeric/convergence-error.ts';
import { DomainError } from '../../src/numeric/domain-error.ts';
import { findRoot, risingRoot } from '../../src/numeric/root.ts';

// Expected roots are closed forms; 1e-13 is some tens of rounding errors of the root itself.
const NEAR = 1e-13;

describe('findRoot', () => {
  it('finds roots that have a closed form', () => {
    expect(findRoot(x => x * x - 2, 0, 2)).toBeCloseTo(Math.SQRT2, 13);
    expect(Math.abs(findRoot(x => Math.cos(x), 0, 3) / (Math.PI / 2) - 1)).toBeLessThan(NEAR);
    expect(Math.abs(findRoot(x => Math.exp(x) - 1e-8, -40, 10) / Math.log(1e-8) - 1)).toBeLessThan(NEAR);
  });

  it('finds the root of a cube with a triple root, where interpolation is slow', () => {
    expect(Math.abs(findRoot(x => (x - 0.3) ** 3, -5, 5, { relative: 1e-10 }) - 0.3)).toBeLessThan(1e-9);
  });

  it('is much quicker than bisection on a smooth function', () => {
    let calls = 0;
    findRoot(
      x => {
        calls++;
        return x * (x * x + 0.01);
      },
      -101,
      100,
    );
    expect(calls).toBeLessThan(40); // bisection from 201 to 1e-14 of a root near zero takes hundreds
  });

  it('closes in on a sign change without a root', () => {
    expect(findRoot(x => (x < 0.7 ? -1 : 1), 0, 1)).toBeCloseTo(0.7, 13);
  });

  it('takes an end that is a root, and a bracket given the other way round', () => {
    expect(findRoot(x => x - 1, 1, 5)).toBe(1);
    expect(findRoot(x => x - 1, -5, 1)).toBe(1);
    expect(findRoot(x => x - 1, 5, 0)).toBeCloseTo(1, 14);
  });

  it('stops at the absolute tolerance it is given', () => {
    let calls = 0;
    const f = (x: number) => {
      calls++;
      return Math.exp(x) - 2;
    };
    findRoot(f, -5, 5);
    const exact = calls;
    calls = 0;
    const rough = findRoot(f, -5, 5, { absolute: 0.1 });
    expect(calls).toBeLessThan(exact);
    expect(Math.abs(rough - Math.LN2)).toBeLessThan(0.1);
  });

  it('refuses a bracket without a sign change, and values that are not finite', () => {
    expect(() => findRoot(x => x * x + 1, -1, 1)).toThrow(DomainError);
    expect(() => findRoot(x => x, Number.NaN, 1)).toThrow(DomainError);
    expect(() => findRoot(x => 1 / x, 0, 1)).toThrow(DomainError);
  });

  it('says when it runs out of steps', () => {
    expect(() => findRoot(x => x ** 3 - 2, -1e6, 1e6, { maxIterations: 3 })).toThrow(ConvergenceError);
  });

  it('finds any root of a random cubic with one real root', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 50, noNaN: true }),
        fc.double({ min: 0.01, max: 10, noNaN: true }),
        (root, b) => {
          const found = findRoot(x => (x - root) * (x * x + b), -101, 100);
          return Math.abs(found - root) <= 1e-12 * Math.max(1, Math.abs(root));
        },
      ),
      { seed: 1 },
    );
  });
});

describe('risingRoot', () => {
  it('finds the root from far away on both sides', () => {
    for (const start of [-300, -1, 0, 5, 300]) {
      const root = risingRoot(x => [Math.sinh(x / 50) - 1, Math.cosh(x / 50) / 50], { start });
      expect(Math.abs(root / (50 * Math.asinh(1)) - 1)).toBeLessThan(NEAR);
    }
  });

  it('finds the root where plain Newton runs away or in a circle', () => {
    const root = risingRoot(x => [Math.atan(x - 2), 1 / (1 + (x - 2) ** 2)], { start: 40 });
    expect(root).toBeCloseTo(2, 13);
  });

  it('never evaluates outside the bounds it is given', () => {
    const f = (x: number): [number, number] => {
      if (x < 1 || x > 3) throw new Error(`evaluated at ${x}`);
      return [x ** 5 - 32, 5 * x ** 4];
    };
    expect(risingRoot(f, { start: -7, low: 1, high: 3 })).toBeCloseTo(2, 13);
  });

  it('refuses a function that is not a number, and says when it does not converge', () => {
    expect(() => risingRoot(() => [Number.NaN, 1], { start: 0 })).toThrow(DomainError);
    expect(() => risingRoot(() => [1, 0], { start: 0 })).toThrow(ConvergenceError);
  });
});
