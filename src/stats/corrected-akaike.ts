/**
 * Akaike's information criterion with the correction for small samples: n·ln(RSS/n) + 2k + 2k(k + 1)/(n − k − 1), k counting the variance.
 * Only differences between models of the same data mean anything. Null where n ≤ k + 1.
 * Source: Hurvich & Tsai, Biometrika 76 (1989) 297; Burnham & Anderson, Model Selection, 2nd ed., sec. 2.4.
 * Evidence: by hand.
 */
export function correctedAkaike(fit: { sumOfSquares: number; count: number; parameters: number }): number | null {
  const { count: n, parameters, sumOfSquares } = fit;
  const k = parameters + 1;
  if (n <= k + 1) return null;
  // An exact fit would give minus infinity; the floor is what rounding leaves of it.
  const perReading = Math.max(sumOfSquares / n, Number.MIN_VALUE ** 0.5);
  return n * Math.log(perReading) + 2 * k + (2 * k * (k + 1)) / (n - k - 1);
}
