import { PANEL_POINTS, panelCoefficients, seriesAt } from './chebyshev-panel.ts';
import { requirePositive } from './domain-error.ts';

export interface PanelIntegral {
  /** ∫ f dx from a to b. */ between(a: number, b: number): number;
  /** ∫ f dx from −∞ to b, for an f that dies away to the left. */ below(b: number): number;
}

/**
 * Integrals of one smooth function between many different bounds, in the unit of f times the unit of x.
 *
 *   on panels of a fixed width f is replaced by its Chebyshev interpolant (16 points), whose integral is a polynomial;
 *   panels are computed when first needed and kept, so that a further bound costs one polynomial
 *
 * Valid for: f analytic near the real axis out to about three times the panel width; `below` where f is positive and
 * falls at least like exp(x/2) to the left.
 * Shape: a function and the panel width in; two functions out. The answer does not depend on earlier calls: panels lie
 * on a fixed grid.
 * Throws: DomainError when the width is not positive.
 * Source: Clenshaw & Curtis 1960 for the integral of a Chebyshev series (from memory).
 * Evidence: closed forms, the adaptive rule.
 */
export function panelIntegral(f: (x: number) => number, width: number): PanelIntegral {
  requirePositive('width', width, '-');
  const panels = new Map<number, Float64Array>();
  const sumsBelow = new Map<number, number>();

  const panel = (k: number): Float64Array => {
    let series = panels.get(k);
    if (series === undefined) {
      series = integratedSeries(f, k * width, width);
      panels.set(k, series);
    }
    return series;
  };
  /** From the left edge of panel k to b inside it. */
  const part = (k: number, b: number): number => seriesAt(panel(k), (2 * (b - k * width)) / width - 1);
  const whole = (k: number): number => seriesAt(panel(k), 1);
  /** Panels below the left edge of panel k, until a further one no longer changes the sum. */
  const belowPanel = (k: number): number => {
    let sum = sumsBelow.get(k);
    if (sum === undefined) {
      sum = 0;
      for (let j = k - 1; ; j--) {
        const value = whole(j);
        sum += value;
        if (!(value > 1e-15 * sum)) break;
      }
      sumsBelow.set(k, sum);
    }
    return sum;
  };
  return {
    between(a, b) {
      const first = Math.floor(a / width);
      const last = Math.floor(b / width);
      let sum = part(last, b) - part(first, a);
      for (let k = first; k < last; k++) sum += whole(k);
      for (let k = last; k < first; k++) sum -= whole(k);
      return sum;
    },
    below(b) {
      const k = Math.floor(b / width);
      return belowPanel(k) + part(k, b);
    },
  };
}

/** Chebyshev coefficients of the integral of f from the left edge of a panel. */
function integratedSeries(f: (x: number) => number, left: number, width: number): Float64Array {
  const c = panelCoefficients(f, left, width);
  const series = new Float64Array(PANEL_POINTS + 1);
  let atLeft = 0;
  for (let k = 1; k <= PANEL_POINTS; k++) {
    series[k] = (0.5 * width * (c[k - 1]! - (c[k + 1] ?? 0))) / (2 * k);
    atLeft += k % 2 === 0 ? series[k]! : -series[k]!;
  }
  series[0] = -atLeft;
  return series;
}
