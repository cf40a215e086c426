import { expect, it } from 'vitest';
import { smoothFunction } from '../../../src/analysis/inputs/smooth-function.ts';

/** Places from -1 to 1 in no order. */
const places = Array.from({ length: 400 }, (_, i) => Math.sin(12.9898 * (i + 1)));

it('interpolates once enough has been asked, and then no longer calls', () => {
  let calls = 0;
  const f = smoothFunction(x => {
    calls++;
    return Math.exp(2 * x);
  });
  for (const x of places) expect(Math.abs(f(x) - Math.exp(2 * x))).toBeLessThan(1e-9 * Math.exp(2));
  expect(calls).toBeLessThan(200);
});

it('never interpolates across a pole or a place that has no value', () => {
  for (const g of [(x: number) => 1 / (x - 0.2), (x: number) => (x > 0.5 ? Number.NaN : x), Math.abs]) {
    const f = smoothFunction(g);
    for (const x of places) expect(f(x)).toBe(g(x));
  }
});

it('calls outside of the range that it knows', () => {
  const f = smoothFunction(Math.exp);
  for (const x of places) f(x);
  expect(f(5)).toBe(Math.exp(5));
});
