import { expect, test } from 'vitest';
import { panelCurve } from '../../src/numeric/panel-curve.ts';

test('a panel curve is the function to the last digits, across panels and below zero', () => {
  const curves: [(x: number) => number, number][] = [
    [Math.exp, 0.5],
    [x => Math.log1p(Math.exp(x)), 0.5], // singular at ±iπ
    [x => x ** 3 - 2 * x, 1],
  ];
  for (const [f, width] of curves) {
    const curve = panelCurve(f, width);
    for (let x = -4; x < 4; x += 0.0731) expect(Math.abs(curve(x) - f(x))).toBeLessThan(1e-13 * (1 + Math.abs(f(x))));
  }
});

test('it asks the function for a panel once', () => {
  let asked = 0;
  const curve = panelCurve(x => {
    asked++;
    return x;
  }, 1);
  for (let x = 0.05; x < 2; x += 0.1) curve(x);
  expect(asked).toBe(32); // two panels of 16 points
});

test('a panel curve breaks at the kinks it is told', () => {
  const kinks = [-1.3, 0.2, 0.24, 2.5]; // two of them in one panel, one at an edge
  const f = (x: number) => Math.exp(x) + kinks.reduce((sum, kink, i) => sum + (i + 1) * Math.max(0, x - kink), 0);
  const curve = panelCurve(f, 0.5, kinks);
  for (let x = -4; x < 4; x += 0.0131) expect(Math.abs(curve(x) - f(x))).toBeLessThan(1e-13 * (1 + Math.abs(f(x))));
  for (const kink of kinks) expect(Math.abs(curve(kink) - f(kink))).toBeLessThan(1e-13 * (1 + Math.abs(f(kink))));
});
