import { expect, test } from 'vitest';
import { normalQuantile } from '../../src/stats/distributions.ts';
import { toleranceFactor, toleranceInterval } from '../../src/stats/tolerance-interval.ts';

test('published two-sided factors for 95 % of the population with 95 % confidence', () => {
  // Odeh & Owen / ISO 16269-6 tables (from memory): n = 10: 3.393 (exact; Howe 3.379), n = 20: 2.760 (Howe 2.752), n = 50: 2.382.
  expect(Math.abs(toleranceFactor({ count: 10 }) - 3.393)).toBeLessThan(0.006);
  expect(Math.abs(toleranceFactor({ count: 20 }) - 2.76)).toBeLessThan(0.006);
  expect(Math.abs(toleranceFactor({ count: 50 }) - 2.382)).toBeLessThan(0.006);
});

test('very many readings leave the share alone', () => {
  expect(Math.abs(toleranceFactor({ count: 1e6 }) - normalQuantile(0.975))).toBeLessThan(0.005);
});

test('an interval around the mean', () => {
  const { low, high } = toleranceInterval([9, 10, 11]);
  expect((low + high) / 2).toBeCloseTo(10, 12);
  expect((high - low) / 2).toBeCloseTo(toleranceFactor({ count: 3 }), 8); // s = 1
});

test('wrong calls are refused', () => {
  expect(() => toleranceFactor({ count: 1 })).toThrow(/count/);
  expect(() => toleranceFactor({ count: 5, share: 1 })).toThrow(/share/);
});
