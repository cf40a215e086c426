import { panelCoefficients, seriesAt } from './chebyshev-panel.ts';
import { requirePositive } from './domain-error.ts';

/**
 * A smooth function that is costly to evaluate, made cheap for many evaluations, in the unit of f.
 *
 *   on panels of a fixed width f is replaced by its Chebyshev interpolant (16 points); panels are computed when first
 *   needed and kept; a panel with kinks in it falls into pieces between them
 *
 * Valid for: f analytic near the real axis out to about three times the panel width, its pieces each by itself; then right to the last digits.
 * Shape: a function, the panel width and the places of kinks, rising, in, a function out. The answer does not depend on earlier calls: panels lie on a
 * fixed grid.
 * Throws: DomainError when the width is not positive.
 * Source: Chebyshev interpolation (from memory). Evidence: closed forms.
 */
export function panelCurve(
  f: (x: number) => number,
  width: number,
  kinks: readonly number[] = [],
): (x: number) => number {
  requirePositive('width', width, '-');
  const panels = new Map<number, Float64Array>();
  const on = (panel: number, left: number, right: number, x: number): number => {
    let series = panels.get(panel);
    if (series === undefined) {
      series = panelCoefficients(f, left, right - left);
      series[0] = series[0]! / 2;
      panels.set(panel, series);
    }
    return seriesAt(series, (2 * (x - left)) / (right - left) - 1);
  };
  if (kinks.length === 0) {
    return x => {
      const k = Math.floor(x / width);
      return on(k, k * width, (k + 1) * width, x);
    };
  }
  const pieces = kinks.length + 1;
  return x => {
    const k = Math.floor(x / width);
    let left = k * width;
    let right = left + width;
    let piece = 0;
    for (let i = 0; i < kinks.length; i++) {
      const kink = kinks[i]!;
      if (kink <= x) piece += 1;
      if (kink <= x && kink > left) left = kink;
      if (kink > x && kink < right) right = kink;
    }
    return on(k * pieces + piece, left, right, x);
  };
}
