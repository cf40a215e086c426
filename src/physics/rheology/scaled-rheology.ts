import type { Rheology } from './rheology.ts';

/** A rheology as a shape and two scales: τ(γ̇) = stress·τ̂(γ̇/rate), τ̂ that of the shape. */
export interface ScaledRheology {
  readonly shape: Rheology;
  /** [Pa] per Pa of the shape. */
  readonly stress: number;
  /** [1/s] per 1/s of the shape. */
  readonly rate: number;
}

/**
 * Takes the scales out of a rheology, so that resins of one shape share one wall curve: through any path of passages
 *
 *   Q(ΔP) = rate·Q̂(ΔP/stress)
 *
 *   Newtonian, power law: stress = η, K; yield stress τ₀: stress = τ₀, rate = τ₀/η or (τ₀/K)^(1/n); Cross, Carreau–Yasuda:
 *   stress = η₀/t, rate = 1/t, leaving η∞/η₀ and the exponents; a table is its own shape
 *
 * Exact: τw and γ̇w scale like that at every place, and the flow is the integral of γ̇ (Weissenberg–Rabinowitsch).
 * Valid for: rheologies without problems. Source: derived here. Evidence: flows of unscaled resins, every model.
 */
export function scaledRheology(r: Rheology): ScaledRheology {
  switch (r.model) {
    case 'newtonian':
      return { shape: { ...r, viscosity: 1 }, stress: r.viscosity, rate: 1 };
    case 'power-law':
      return { shape: { ...r, consistency: 1 }, stress: r.consistency, rate: 1 };
    case 'herschel-bulkley': {
      const { yieldStress, consistency, flowIndex } = r;
      if (yieldStress === 0) return scaledRheology({ model: 'power-law', consistency, flowIndex });
      const rate = (yieldStress / consistency) ** (1 / flowIndex);
      return { shape: { ...r, yieldStress: 1, consistency: 1 }, stress: yieldStress, rate };
    }
    case 'bingham':
    case 'casson': {
      const { yieldStress, viscosity } = r;
      if (yieldStress === 0) return scaledRheology({ model: 'newtonian', viscosity });
      return { shape: { ...r, yieldStress: 1, viscosity: 1 }, stress: yieldStress, rate: yieldStress / viscosity };
    }
    case 'cross':
    case 'carreau-yasuda':
      return {
        shape: { ...r, zero: 1, infinity: r.infinity / r.zero, time: 1 },
        stress: r.zero / r.time,
        rate: 1 / r.time,
      };
    case 'table':
      return { shape: r, stress: 1, rate: 1 };
  }
}

/** What `thickened` makes of the scales: stress times the factor, or rate over it where the time constant moves. */
export function thickenedScales(
  { shape, stress, rate }: ScaledRheology,
  factor: number,
): { stress: number; rate: number } {
  const byRate = shape.model === 'cross' || shape.model === 'carreau-yasuda' || shape.model === 'table';
  return byRate ? { stress, rate: rate / factor } : { stress: stress * factor, rate };
}

/** Whether two shapes are one: number by number, tables by identity. */
export function sameShape(a: Rheology, b: Rheology): boolean {
  if (a === b) return true;
  if (a.model !== b.model || a.model === 'table') return false;
  const [x, y] = [a, b] as unknown as Record<string, number>[];
  for (const key in x) if (x[key] !== y![key]) return false;
  return true;
}
