import { describe, expect, it } from 'vitest';
import { designEffect, noneSeen, proportionInterval } from '../../src/stats/proportion.ts';

/** P(X ≤ k) of a binomial, summed term by term. */
function binomialCdf(k: number, n: number, p: number): number {
  let term = (1 - p) ** n;
  let sum = term;
  for (let i = 1; i <= k; i++) {
    term *= ((n - i + 1) / i) * (p / (1 - p));
    sum += term;
  }
  return sum;
}

describe('the interval of a proportion', () => {
  it.each([
    [1, 20],
    [4, 20],
    [7, 50],
    [150, 200],
  ])('%i of %i: at each end the binomial tail is 2.5 %%', (count, of) => {
    const { low, high } = proportionInterval({ count, of });
    expect(1 - binomialCdf(count - 1, of, low)).toBeCloseTo(0.025, 9);
    expect(binomialCdf(count, of, high)).toBeCloseTo(0.025, 9);
  });

  it('4 of 20 with 90 % are 0.071354 to 0.401029', () => {
    // NIST/SEMATECH e-Handbook, 7.2.4.1, worked example (from memory).
    const { low, high } = proportionInterval({ count: 4, of: 20 }, 0.9);
    expect(low).toBeCloseTo(0.071354, 6);
    expect(high).toBeCloseTo(0.401029, 5);
  });

  it('none of n are at most 1 − 0.05^(1/n), near 3/n', () => {
    expect(proportionInterval({ count: 0, of: 100 })).toEqual({ low: 0, high: noneSeen(100) });
    expect((1 - noneSeen(100)) ** 100).toBeCloseTo(0.05, 12);
    expect(noneSeen(1e6) * 1e6).toBeCloseTo(-Math.log(0.05), 4); // 2.996
  });

  it('all of n reach one, and a count that is not whole lies between its neighbours', () => {
    expect(proportionInterval({ count: 12, of: 12 }).high).toBe(1);
    expect(proportionInterval({ count: 12, of: 12 }).low).toBeCloseTo(0.025 ** (1 / 12), 9); // closed form
    const high = [2, 2.5, 3].map(count => proportionInterval({ count, of: 40 }).high);
    expect(high).toEqual([...high].sort((a, b) => a - b));
  });

  it('a count outside what was counted is a wrong call', () => {
    expect(() => proportionInterval({ count: 5, of: 4 })).toThrow('count');
    expect(() => proportionInterval({ count: 0, of: 0 })).toThrow('of');
  });
});

describe('the design effect of clusters', () => {
  const alike = (pattern: readonly number[], size: number) =>
    designEffect(
      pattern.map(x => x * size),
      pattern.map(() => size),
    );

  it('of clusters whose members are all alike is their size', () => {
    // Kish: 1 + (m − 1)·ρ with ρ = 1, times k/(k − 1) of a sample variance.
    const pattern = Array.from({ length: 400 }, (_, i) => (i % 4 === 0 ? 1 : 0));
    expect(alike(pattern, 50) / (50 * (400 / 399))).toBeCloseTo(1, 12);
  });

  it('of single ones, and of clusters each with its share, is one', () => {
    const pattern = Array.from({ length: 1000 }, (_, i) => (i % 10 === 0 ? 1 : 0));
    expect(alike(pattern, 1)).toBeCloseTo(1, 2);
    expect(designEffect([2, 2, 2], [10, 10, 10])).toBe(1);
  });

  it('is 1 + (m − 1)·ρ for one size and a known correlation within', () => {
    // m = 2: pairs (1,1), (1,0) or (0,0) with p = 1/2 and ρ = 1/2: P(1,1) = p² + ρ·p·q = 3/8, P(one of two) = 1/4.
    const counts = [...new Array(300).fill(2), ...new Array(200).fill(1), ...new Array(300).fill(0)];
    expect(designEffect(counts, new Array(800).fill(2))).toBeCloseTo(1.5, 2);
  });

  it('of none, of all and of one cluster is one', () => {
    expect(designEffect([0, 0], [5, 5])).toBe(1);
    expect(designEffect([5, 5], [5, 5])).toBe(1);
    expect(designEffect([2], [5])).toBe(1);
  });
});
