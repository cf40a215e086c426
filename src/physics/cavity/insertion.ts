import { DomainError, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { integrate } from '../../numeric/quadrature.ts';

/** Young's modulus of a silica fibre [Pa]; *from memory*. */
export const FIBRE_MODULUS = 72e9;

/** A stretch of a wetted bore with a fibre in it: straight, or a cone from its front to its rear. */
export interface WettedStretch {
  readonly length: number; // [m]
  /** Inside diameter at its front and at its rear [m]. */
  readonly front: number;
  readonly rear: number;
}

/**
 * Drag of a fibre pushed along its axis through resin at rest, over viscosity and speed [m]: F = η·v·(this).
 *
 *   centred: 2π·L/ln(D/d);  eccentric by e: 2π·L/acosh((D² + d² − 4e²)/(2·D·d))
 *
 * Over a cone the integral along its length. `eccentricity` is the share of the radial gap by which the fibre lies off the
 * axis: 0 centred, towards 1 touching.
 * Valid for: a gap that drags and does not pump (no pressure along it), Newtonian within the gap.
 * Throws: DomainError for a bore not wider than the fibre, or an eccentricity outside 0 to 1.
 * Source: Happel & Brenner, Low Reynolds Number Hydrodynamics, 1965, ch. 7 (the bipolar form; from memory).
 * Evidence: narrow gap π·d·L/h; eccentricity zero; the series of a lubrication film.
 */
export function dragLength(p: { stretches: readonly WettedStretch[]; fibre: number; eccentricity?: number }): number {
  const { stretches, fibre, eccentricity = 0 } = p;
  requirePositive('fibre', fibre, 'm');
  if (!(eccentricity >= 0 && eccentricity < 1)) {
    throw new DomainError('eccentricity', eccentricity, '-', 'from 0 to below 1');
  }
  const perLength = (bore: number) => {
    const offset = (eccentricity * (bore - fibre)) / 2;
    // acosh(1 + x) by x, which keeps its digits in a narrow gap.
    const x = ((bore - fibre) ** 2 - 4 * offset * offset) / (2 * bore * fibre);
    return (2 * Math.PI) / Math.log1p(x + Math.sqrt(x * (2 + x)));
  };
  let sum = 0;
  for (const { length, front, rear } of stretches) {
    requireNonNegative('length', length, 'm');
    requirePositive('bore - fibre', Math.min(front, rear) - fibre, 'm');
    sum +=
      front === rear
        ? length * perLength(front)
        : integrate(x => perLength(front + ((rear - front) * x) / length), 0, length, { relative: 1e-10 });
  }
  return sum;
}

/**
 * Push on the face of a fibre that drives the resin ahead of it out of the bore like a piston, over viscosity and speed [m].
 *
 *   ΔP = 128·η·x·(v·π·d²/4)/(π·D⁴), F = ΔP·π·d²/4 = 8π·η·v·x·(d/D)⁴
 *
 * x is the length of bore still ahead of the face: greatest when the fibre enters, zero when it comes out.
 * Throws: DomainError for a length below zero or diameters that are not positive.
 * Source: Hagen–Poiseuille.
 */
export function pistonLength(p: { ahead: number; bore: number; fibre: number }): number {
  requireNonNegative('ahead', p.ahead, 'm');
  requirePositive('bore', p.bore, 'm');
  requirePositive('fibre', p.fibre, 'm');
  return 8 * Math.PI * p.ahead * (p.fibre / p.bore) ** 4;
}

/**
 * Euler load [N] of a fibre with pinned ends: π²·E·I/l², I = π·d⁴/64.
 * Throws: DomainError for a diameter, length or modulus that is not positive.
 * Source: Timoshenko & Gere, Theory of Elastic Stability, 1961, ch. 2 (from memory).
 */
export function bucklingLoad(p: { fibre: number; freeLength: number; modulus?: number }): number {
  const { fibre, freeLength, modulus = FIBRE_MODULUS } = p;
  requirePositive('fibre', fibre, 'm');
  requirePositive('freeLength', freeLength, 'm');
  requirePositive('modulus', modulus, 'Pa');
  return (Math.PI ** 3 * modulus * fibre ** 4) / (64 * freeLength ** 2);
}
