import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { requireContactAngle } from './cap.ts';

export interface FibreBead {
  /** Contact angle of the bead on the end face [rad]. */ contactAngle: number;
  /** Diameter of the fibre through its middle [m]; 0 for none. */ fibreDiameter: number;
}

/**
 * Volume [m³] of epoxy in a bead on the end face with a fibre through its middle: the spherical cap less the fibre's
 * cross-section times the cap's height.
 *
 *   V = (π/48)·t·(3 + t²)·d³ − (π/4)·f²·(d/2)·t,  t = tan(θ/2)
 *
 * Valid for: beads small against the capillary length; the cap's shape is not drawn up at the fibre.
 * Shape: may be negative where the bead is thinner than about the fibre. Throws: DomainError.
 * Source: geometry of the sphere. Evidence: hand value, no fibre = cap, the inverse.
 */
export function fibreBeadVolume(p: FibreBead & { diameter: number }): number {
  requirePositive('diameter', p.diameter, 'm');
  const { cubic, linear } = coefficients(p);
  return p.diameter * (cubic * p.diameter ** 2 - linear);
}

/**
 * Diameter [m] of the bead of a volume [m³]: the inverse of {@link fibreBeadVolume}, on the branch where a larger bead
 * holds more. Throws: DomainError when the volume is not finite and positive.
 */
export function fibreBeadDiameter(p: FibreBead & { volume: number }): number {
  requirePositive('volume', p.volume, 'm³');
  const { cubic, linear } = coefficients(p);
  // c·d³ − l·d − V is convex above its least zero slope: from the right Newton falls onto the root without overshoot.
  let d = Math.cbrt(p.volume / cubic) + Math.sqrt(linear / cubic);
  for (let i = 0; i < 60; i++) {
    const next = d - (d * (cubic * d * d - linear) - p.volume) / (3 * cubic * d * d - linear);
    if (!(next < d * (1 - 1e-15))) return next;
    d = next;
  }
  return d;
}

function coefficients(p: FibreBead): { cubic: number; linear: number } {
  requireContactAngle(p.contactAngle);
  requireNonNegative('fibreDiameter', p.fibreDiameter, 'm');
  const t = Math.tan(p.contactAngle / 2);
  return { cubic: (Math.PI / 48) * t * (3 + t * t), linear: (Math.PI / 8) * p.fibreDiameter ** 2 * t };
}
