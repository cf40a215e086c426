import { describe, expect, it } from 'vitest';
import { ConvergenceError } from '../../src/numeric/convergence-error.ts';
import { DomainError } from '../../src/numeric/domain-error.ts';
import { gaussLegendre } from '../../src/numeric/gauss-legendre.ts';
import { panelIntegral } from '../../src/numeric/panel-integral.ts';
import { integrate } from '../../src/numeric/quadrature.ts';

const relative = (value: number, expected: number) => Math.abs(value / expected - 1);

describe('integrate', () => {
  // The 21-point Kronrod rule is exact to degree 31: one interval suffices, so a wrong node or weight shows here.
  it('is exact for powers up to degree 31 on one interval', () => {
    for (let degree = 0; degree <= 31; degree++) {
      const value = integrate(x => (degree + 1) * x ** degree, 0, 2, { relative: 1, maxIntervals: 1 });
      expect(relative(value, 2 ** (degree + 1))).toBeLessThan(1e-14);
    }
  });

  it('meets integrals with closed forms to 1e-12', () => {
    expect(relative(integrate(Math.exp, 0, 1), Math.E - 1)).toBeLessThan(1e-12);
    expect(
      relative(
        integrate(x => 1 / (1 + x * x), 0, 1e6),
        Math.atan(1e6),
      ),
    ).toBeLessThan(1e-12);
    expect(
      relative(
        integrate(x => Math.sin(x) ** 2, 0, 40),
        20 - Math.sin(80) / 4,
      ),
    ).toBeLessThan(1e-12);
  });

  it('copes with a kink and with a singular end', () => {
    expect(
      relative(
        integrate(x => Math.abs(x - 0.3), 0, 1),
        0.29,
      ),
    ).toBeLessThan(1e-12);
    expect(
      relative(
        integrate(x => 1 / Math.sqrt(x), 0, 1),
        2,
      ),
    ).toBeLessThan(1e-7); // ends where halves are no longer told apart
  });

  it('changes sign with the bounds and vanishes between equal ones', () => {
    expect(integrate(x => x, 1, 0)).toBeCloseTo(-0.5, 14);
    expect(integrate(() => Number.NaN, 2, 2)).toBe(0);
  });

  it('takes the looser of the two tolerances', () => {
    let calls = 0;
    const f = (x: number) => {
      calls++;
      return Math.sqrt(x);
    };
    integrate(f, 0, 1);
    const fine = calls;
    calls = 0;
    expect(Math.abs(integrate(f, 0, 1, { absolute: 1e-3 }) - 2 / 3)).toBeLessThan(1e-3);
    expect(calls).toBeLessThan(fine);
  });

  it('refuses what is not finite, and says when the intervals run out', () => {
    expect(() => integrate(x => 1 / (x - 0.5), 0, 1)).toThrow(DomainError);
    expect(() => integrate(x => x, 0, Number.POSITIVE_INFINITY)).toThrow(DomainError);
    expect(() => integrate(x => Math.sin(1 / x), 1e-6, 1, { maxIntervals: 5 })).toThrow(ConvergenceError);
  });
});

describe('gaussLegendre', () => {
  it('gives the closed forms of two and three points', () => {
    expect(gaussLegendre(2).nodes[1]).toBeCloseTo(1 / Math.sqrt(3), 15);
    expect(gaussLegendre(3).nodes).toEqual([-gaussLegendre(3).nodes[2]!, 0, gaussLegendre(3).nodes[2]!]);
    expect(gaussLegendre(3).nodes[2]).toBeCloseTo(Math.sqrt(0.6), 15);
    expect(gaussLegendre(3).weights[1]).toBeCloseTo(8 / 9, 15);
    expect(gaussLegendre(1)).toEqual({ nodes: [0], weights: [2] });
  });

  it('is exact up to degree 2n − 1, for small and large n', () => {
    for (const n of [1, 2, 5, 8, 16, 33, 100]) {
      const { nodes, weights } = gaussLegendre(n);
      for (const degree of [0, 1, n, 2 * n - 2, 2 * n - 1]) {
        const sum = nodes.reduce((total, node, i) => total + weights[i]! * node ** degree, 0);
        expect(Math.abs(sum - (degree % 2 === 0 ? 2 / (degree + 1) : 0))).toBeLessThan(1e-14);
      }
    }
  });

  it('refuses what is no number of points', () => {
    for (const n of [0, 1.5, 101, Number.NaN]) expect(() => gaussLegendre(n)).toThrow(DomainError);
  });
});

describe('panelIntegral', () => {
  it('meets closed forms between any bounds, in either order', () => {
    const { between } = panelIntegral(Math.cos, 1);
    for (const [a, b] of [
      [0.1, 0.2],
      [-3.7, 5.2],
      [5.2, -3.7],
      [0, 4],
      [2, 2],
    ] as const) {
      expect(Math.abs(between(a, b) - (Math.sin(b) - Math.sin(a)))).toBeLessThan(1e-14);
    }
  });

  it('reaches down to minus infinity', () => {
    const { below } = panelIntegral(x => Math.exp(x) / (1 + Math.exp(x)) ** 2, 1); // the logistic density
    for (const x of [-30, -0.3, 0, 2, 8]) expect(relative(below(x), 1 / (1 + Math.exp(-x)))).toBeLessThan(1e-13);
  });

  it('agrees with the adaptive rule on a function with nearby poles, given panels to match', () => {
    const f = (x: number) => 1 / (1 + Math.exp(2 * x)); // poles at ±iπ/2
    const { between } = panelIntegral(f, 0.5);
    expect(relative(between(-2.3, 3.1), integrate(f, -2.3, 3.1))).toBeLessThan(1e-13);
  });

  it('gives the same bits whatever was asked before', () => {
    const fresh = panelIntegral(Math.exp, 1).below(3.3);
    const used = panelIntegral(Math.exp, 1);
    used.below(10);
    used.between(-4, 2);
    expect(used.below(3.3)).toBe(fresh);
  });

  it('refuses a width that is not positive', () => {
    expect(() => panelIntegral(Math.exp, 0)).toThrow(DomainError);
  });
});
