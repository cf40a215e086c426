import { describe, expect, test } from 'vitest';
import {
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  fTail,
  normalCdf,
  normalQuantile,
  studentizedRangeCdf,
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
  test('chi-square: 18.307 (10, 95 %), 3.247 (10, 2.5 %)', () => {
    expect(chiSquareQuantile(0.95, 10)).toBeCloseTo(18.307, 3);
    expect(chiSquareQuantile(0.025, 10)).toBeCloseTo(3.247, 3);
  });
  test('F: 4.10 (2, 10), 2.98 (10, 10) at 95 %', () => {
    expect(fQuantile(0.95, { numerator: 2, denominator: 10 })).toBeCloseTo(4.103, 3);
    expect(fQuantile(0.95, { numerator: 10, denominator: 10 })).toBeCloseTo(2.978, 3);
  });
  test('studentized range: 3.88 (3 groups, 10) and 3.36 (3 groups, 1e6) at 95 %', () => {
    expect(studentizedRangeCdf(3.877, { groups: 3, degreesOfFreedom: 10 })).toBeCloseTo(0.95, 3);
    expect(studentizedRangeCdf(3.314, { groups: 3, degreesOfFreedom: 1e6 })).toBeCloseTo(0.95, 3);
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
    for (const x of [0, 0.1, 2, 30]) expect(chiSquareCdf(x, 2)).toBeCloseTo(1 - Math.exp(-x / 2), 12);
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
  expect(() => chiSquareCdf(-1, 1)).toThrow(/x = -1/);
  expect(() => studentizedRangeCdf(1, { groups: 1, degreesOfFreedom: 5 })).toThrow(/groups/);
});
