import { describe, expect, test } from 'vitest';
import {
  chiSquareQuantile,
  fCdf,
  fTail,
  normalCdf,
  normalQuantile,
  tCdf,
  tQuantile,
} from '../../src/stats/distributions.ts';

describe('printed tables', () => {
  test('normal: 1.959964, 2.575829, areas to 3', () => {
    expect(normalQuantile(0.975)).toBeCloseTo(1.959964, 6);
    expect(normalQuantile(0.995)).toBeCloseTo(2.575829, 6);
    expect(normalCdf(1)).toBeCloseTo(0.8413447, 7);
    expect(normalCdf(-3)).toBeCloseTo(0.0013499, 7);
  });
  test('t (JCGM 100 table G.2): 12.71, 4.30, 2.23, 2.09 at 95 %, 2.92 at 99 % and 16', () => {
    for (const [nu, t] of [
      [1, 12.71],
      [2, 4.3],
      [10, 2.23],
      [19, 2.09],
    ]) {
      expect(tQuantile(0.975, nu!)).toBeCloseTo(t!, 2);
    }
    expect(tQuantile(0.995, 16)).toBeCloseTo(2.92, 2);
    expect(tQuantile(0.975, Number.POSITIVE_INFINITY)).toBeCloseTo(1.959964, 6);
  });
  test('F: 4.103 (2, 10), 2.978 (10, 10) leave 5 % above them', () => {
    expect(fTail(4.103, { numerator: 2, denominator: 10 })).toBeCloseTo(0.05, 4);
    expect(fTail(2.978, { numerator: 10, denominator: 10 })).toBeCloseTo(0.05, 4);
  });
  test('chi-square: 18.307 (10, 95 %), 3.247 (10, 2.5 %)', () => {
    expect(chiSquareQuantile(0.95, 10)).toBeCloseTo(18.307, 3);
    expect(chiSquareQuantile(0.025, 10)).toBeCloseTo(3.247, 3);
  });
});

describe('closed forms', () => {
  test('t with one degree of freedom is Cauchy, with two has a root', () => {
    for (const t of [-5, -0.3, 0, 1, 40]) {
      expect(tCdf(t, 1)).toBeCloseTo(0.5 + Math.atan(t) / Math.PI, 12);
      expect(tCdf(t, 2)).toBeCloseTo(0.5 + t / (2 * Math.sqrt(2 + t * t)), 12);
    }
  });
  test('chi-square with two degrees of freedom is exponential', () => {
    for (const p of [0.001, 0.1, 0.5, 0.999]) expect(chiSquareQuantile(p, 2)).toBeCloseTo(-2 * Math.log(1 - p), 10);
  });
  test('F(2, n) has the tail (1 + 2f/n)^(−n/2), also where one minus the area is lost', () => {
    for (const f of [0.5, 3, 100, 1e6]) {
      const exact = (1 + (2 * f) / 8) ** -4;
      expect(Math.abs(fTail(f, { numerator: 2, denominator: 8 }) / exact - 1)).toBeLessThan(1e-9);
    }
    expect(fTail(0, { numerator: 2, denominator: 8 })).toBe(1);
    expect(fCdf(1, { numerator: 7, denominator: 7 })).toBeCloseTo(0.5, 12);
  });
});

test('arguments outside the distribution are refused', () => {
  expect(() => normalQuantile(0)).toThrow(/p = 0/);
  expect(() => normalCdf(Number.NaN)).toThrow(/z/);
  expect(() => tQuantile(0.5, 0)).toThrow(/degreesOfFreedom/);
  expect(() => fTail(-1, { numerator: 1, denominator: 1 })).toThrow(/f = -1/);
  expect(() => chiSquareQuantile(0.5, -1)).toThrow(/degreesOfFreedom = -1/);
});
