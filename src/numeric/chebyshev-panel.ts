/** Points a panel. */
export const PANEL_POINTS = 16;
const NODES = Array.from({ length: PANEL_POINTS }, (_, j) => Math.cos((Math.PI * (j + 0.5)) / PANEL_POINTS));
/** COSINES[k * PANEL_POINTS + j] = T_k(node j) · 2/PANEL_POINTS: from values at the nodes to Chebyshev coefficients. */
const COSINES = Float64Array.from({ length: PANEL_POINTS * PANEL_POINTS }, (_, i) => {
  const k = Math.floor(i / PANEL_POINTS);
  return (2 / PANEL_POINTS) * Math.cos((Math.PI * k * ((i % PANEL_POINTS) + 0.5)) / PANEL_POINTS);
});

/**
 * Chebyshev coefficients, in the unit of f, of the polynomial through f at the nodes of a panel that starts at `left`;
 * the first stands for twice the constant term. On a panel much narrower than the distance to the next singularity of f
 * in the complex plane the error of the polynomial is that of rounding.
 *
 * Shape: a function and a panel in, `PANEL_POINTS` numbers out.
 * Source: discrete orthogonality of the cosines (from memory). Evidence: tests of panel-integral and panel-curve.
 */
export function panelCoefficients(f: (x: number) => number, left: number, width: number): Float64Array {
  const values = NODES.map(node => f(left + 0.5 * width * (1 + node)));
  const coefficients = new Float64Array(PANEL_POINTS);
  for (let k = 0; k < PANEL_POINTS; k++) {
    let sum = 0;
    for (let j = 0; j < PANEL_POINTS; j++) sum += COSINES[k * PANEL_POINTS + j]! * values[j]!;
    coefficients[k] = sum;
  }
  return coefficients;
}

/** Value of a Chebyshev series, its first coefficient the constant term itself, at t in [−1, 1] (Clenshaw). */
export function seriesAt(series: Float64Array, t: number): number {
  let b1 = 0;
  let b2 = 0;
  for (let k = series.length - 1; k > 0; k--) {
    const b0 = 2 * t * b1 - b2 + series[k]!;
    b2 = b1;
    b1 = b0;
  }
  return t * b1 - b2 + series[0]!;
}
