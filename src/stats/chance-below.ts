import type { DeviationShape } from './copula.ts';
import type { InputDeviation } from './joint-sampler.ts';

/** Size of a term [-] from which on no more are added. */
const LAST = 1e-7;

/**
 * Chance [-] that mean + Σ deviations is below zero, for independent deviations that are symmetric about zero.
 *
 *   P = ½ − Σ sin(mean·t)·φ(t)/(π(k + ½)), t = (k + ½)·π/(2R), k = 0, 1, …
 *
 * φ is the product of the characteristic functions, R the farthest that the sum goes: within it nothing is folded in from
 * the next period. Beyond R the chance is 0 or 1; a normal deviation ends at six standard deviations.
 *
 * mean: in the unit of the deviations. Accuracy: 1e-4 where one uniform deviation is all there is, 1e-6 with two or more.
 * Source: R. B. Davies, Numerical inversion of a characteristic function, Biometrika 60 (1973), 415 (from memory).
 * Evidence: the normal distribution; one, two and three uniforms and one triangle in closed form; a large sample.
 */
export function chanceBelowZero(mean: number, deviations: readonly InputDeviation[]): number {
  let farthest = 0;
  for (const { shape, uncertainty } of deviations) farthest += FARTHEST[shape] * uncertainty;
  if (mean >= farthest) return 0;
  if (mean < -farthest) return 1;
  const step = Math.PI / (2 * farthest);
  let sum = 0;
  for (let k = 0.5, envelope = 1; envelope / k > LAST; k++) {
    const t = k * step;
    let phi = 1;
    envelope = 1;
    for (const { shape, uncertainty } of deviations) {
      const half = FARTHEST[shape] * uncertainty * t;
      if (shape === 'normal') {
        const value = Math.exp(-((uncertainty * t) ** 2) / 2);
        phi *= value;
        envelope *= value;
      } else if (shape === 'uniform') {
        phi *= Math.sin(half) / half;
        envelope /= Math.max(1, half);
      } else {
        phi *= (Math.sin(half / 2) / (half / 2)) ** 2;
        envelope /= Math.max(1, half / 2) ** 2;
      }
    }
    sum += (Math.sin(mean * t) * phi) / k;
  }
  return Math.min(1, Math.max(0, 0.5 - sum / Math.PI));
}

/** Greatest deviation [standard deviations]; of a normal one, what is passed with a chance of 1e-9 on a side. */
const FARTHEST: Readonly<Record<DeviationShape, number>> = {
  normal: 6,
  uniform: Math.sqrt(3),
  triangular: Math.sqrt(6),
};
