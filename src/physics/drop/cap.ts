import { DomainError, requirePositive } from '../../numeric/domain-error.ts';

export interface Cap {
  /** Diameter of the contact line [m]. */ contactDiameter: number;
  /** Contact angle [rad], measured through the liquid. */ contactAngle: number;
}

/** Throws unless the angle lies strictly between 0 and π. */
export function requireContactAngle(contactAngle: number): void {
  if (!(contactAngle > 0 && contactAngle < Math.PI)) {
    throw new DomainError('contactAngle', contactAngle, 'rad', 'above 0 and below π');
  }
}

/**
 * Volume [m³] of a drop shaped as a spherical cap.
 *
 *   V = (π·d³/48)·t·(3 + t²),  t = tan(θ/2)
 *
 * Valid for: drops small against the capillary length (no gravity); angles above 0 and below π.
 * Shape: scalars in, one scalar out.
 * Throws: DomainError when the diameter is not finite and positive or the angle is out of range.
 * Source: geometry of the sphere; the same as V = π·r³·(2 − 3·cos θ + cos³θ)/(3·sin³θ).
 * Evidence: tabled values at five angles, the hemisphere, the inverse.
 */
export function capVolume(p: Cap): number {
  requirePositive('contactDiameter', p.contactDiameter, 'm');
  return capFactor(p.contactAngle) * p.contactDiameter ** 3;
}

/**
 * Contact diameter [m] of the spherical cap of a volume: the inverse of {@link capVolume}.
 *
 * Throws: DomainError when the volume [m³] is not finite and positive or the angle is out of range.
 */
export function capContactDiameter(p: { volume: number; contactAngle: number }): number {
  requirePositive('volume', p.volume, 'm³');
  return Math.cbrt(p.volume / capFactor(p.contactAngle));
}

/**
 * Diameter [m] of a spherical cap as seen from above: the contact diameter up to 90°, the sphere's own beyond.
 * Throws as {@link capVolume}.
 */
export function capSeenDiameter(p: Cap): number {
  requirePositive('contactDiameter', p.contactDiameter, 'm');
  requireContactAngle(p.contactAngle);
  return p.contactAngle <= Math.PI / 2 ? p.contactDiameter : p.contactDiameter / Math.sin(p.contactAngle);
}

/** V/d³ [-] of the cap. */
function capFactor(contactAngle: number): number {
  requireContactAngle(contactAngle);
  const t = Math.tan(contactAngle / 2);
  return (Math.PI / 48) * t * (3 + t * t);
}
