import { panelCoefficients, seriesAt } from './chebyshev-panel.ts';
import { requirePositive } from './domain-error.ts';

/**
 * A smooth function that is costly to evaluate, made cheap for many evaluations, in the unit of f.
 *
 *   on panels of a fixed width f is replaced by its Chebyshev interpolant (16 points); panels are computed when first
 *   needed and kept
 *
 * Valid for: f analytic near the real axis out to about three times the panel width; then right to the last digits.
 * Shape: a function and the panel width in, a function out. The answer does not depend on earlier calls: panels lie on a
 * fixed grid.
 * Throws: DomainError when the width is not positive.
 * Source: Chebyshev interpolation (from memory). Evidence: closed forms.
 */
export function panelCurve(f: (x: number) => number, width: number): (x: number) => number {
  requirePositive('width', width, '-');
  const panels = new Map<number, Float64Array>();
  return x => {
    const k = Math.floor(x / width);
    let series = panels.get(k);
    if (series === undefined) {
      series = panelCoefficients(f, k * width, width);
      series[0] = series[0]! / 2;
      panels.set(k, series);
    }
    return seriesAt(series, (2 * (x - k * width)) / width - 1);
  };
}
