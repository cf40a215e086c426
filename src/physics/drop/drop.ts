import { ConvergenceError } from '../../numeric/convergence-error.ts';
import { DomainError, OverflowError, requirePositive } from '../../numeric/domain-error.ts';
import { capContactDiameter, capSeenDiameter, capVolume } from './cap.ts';
import { type DropProfile, integrateProfile, type ProfileGrid, profileGrid, START_SINE } from './drop-profile.ts';
import { STANDARD_GRAVITY } from './gravity.ts';

/** What a drop stands on and is made of. */
export interface DropLiquid {
  /** Contact angle [rad], 5° to 175°. */ contactAngle: number;
  /** Surface tension γ [N/m]. */ surfaceTension: number;
  /** Density ρ [kg/m³]. */ density: number;
}

/** A sessile drop at rest under its own weight. */
export interface Drop {
  readonly volume: number; // [m³]
  /** Diameter of the contact line [m]. */
  readonly contactDiameter: number;
  /** Greatest diameter [m]; above 90° the drop overhangs its contact line. */
  readonly greatestDiameter: number;
  /** Diameter as the eye sees it from above [m]: the greatest. */
  readonly seenDiameter: number;
  /** Height of the apex over the surface [m]. */
  readonly height: number;
  /** Radius of curvature at the apex [m]; Infinity where a puddle is flat beyond the range of numbers. */
  readonly apexRadius: number;
  /** Curvature at the apex, 1/b [1/m]; finite always. */
  readonly apexCurvature: number;
  /** ρ·g·V^(2/3)/γ [-]. */
  readonly bondNumber: number;
  /** Seen diameter [m] of the spherical cap of the same volume and angle. */
  readonly capDiameter: number;
  /** capDiameter/seenDiameter − 1 [-]: how far the cap alone would have been off. */
  readonly capError: number;
  /** Pressure that drives the drop to this shape [Pa]: 2γ/b + ρ·g·h. A yield stress above it does not relax. */
  readonly drivingPressure: number;
}

export const CONTACT_ANGLE_RANGE = { least: (5 * Math.PI) / 180, greatest: (175 * Math.PI) / 180 }; // [rad]
/** Relative precision of the volume or diameter that the shooting meets, and its limit of profiles. */
const DEFAULTS = { relative: 1e-12, maxIterations: 60 };

/**
 * The sessile drop of a volume [m³]: axisymmetric Young–Laplace (Bashforth–Adams) with gravity.
 *
 *   γ·(dφ/ds + sin φ/x) = 2γ/b + ρ·g·z, from the apex down to φ = θ
 *
 * Valid for: angles 5° to 175°; checked for Bond numbers ρgV^(2/3)/γ from 1e-6 (a cap) to 1e4 (a flat puddle). At rest
 * on a level, even surface.
 * Shape: one object in, one {@link Drop} out.
 * Throws: DomainError when an argument is not finite and positive or the angle out of range; OverflowError when the drop is
 * beyond 1e60 capillary lengths, or below 1e-60; ConvergenceError when the size cannot be met to 1e-12.
 * Source: Bashforth & Adams, An Attempt to Test the Theories of Capillary Action (1883); de Gennes, Brochard-Wyart &
 * Quéré, Capillarity and Wetting Phenomena (2004), ch. 2, for the puddle.
 * Evidence: table of independent solutions, cap and puddle limits, balance of forces, a plain Runge–Kutta path.
 */
export function dropFromVolume(p: DropLiquid & { volume: number }): Drop {
  requirePositive('volume', p.volume, 'm³');
  const scale = capillaryLength(p);
  const grid = gridFor(p.contactAngle);
  const target = p.volume / scale ** 3;
  const guess = sizeOfVolume(grid.contactAngle, target);
  const profile = shoot(grid, { guess, target, measure: d => d.volume, power: volumePower(grid.contactAngle, guess) });
  return describe(p, p.volume, scale, profile);
}

/**
 * The sessile drop whose diameter as seen from above is given [m]: the inverse of {@link dropFromVolume}, with the same
 * range, source and errors.
 */
export function dropFromDiameter(p: DropLiquid & { seenDiameter: number }): Drop {
  requirePositive('seenDiameter', p.seenDiameter, 'm');
  const scale = capillaryLength(p);
  const grid = gridFor(p.contactAngle);
  const target = p.seenDiameter / 2 / scale;
  const profile = shoot(grid, { guess: target, target, measure: d => d.greatestRadius, power: 1 });
  return describe(p, profile.volume * scale ** 3, scale, profile);
}

/** Capillary length √(γ/(ρ·g)) [m]. Throws DomainError when an argument is not finite and positive. */
export function capillaryLength(p: { surfaceTension: number; density: number }): number {
  requirePositive('surfaceTension', p.surfaceTension, 'N/m');
  requirePositive('density', p.density, 'kg/m³');
  return Math.sqrt(p.surfaceTension / (p.density * STANDARD_GRAVITY));
}

/** Whether the drop model covers a contact angle [rad]. */
export function isDropAngle(contactAngle: number): boolean {
  const grace = 1e-12; // the last bit of a conversion from degrees
  return contactAngle >= CONTACT_ANGLE_RANGE.least - grace && contactAngle <= CONTACT_ANGLE_RANGE.greatest + grace;
}

/** Sizes [capillary lengths] whose cubes, and the steps of a search beside them, are numbers. */
const SIZES = { least: 1e-60, greatest: 1e60 };
/** What an OverflowError names when a drop is outside of them. */
export const DROP_SIZE = 'drop size';

let lastGrid: ProfileGrid | null = null; // consecutive calls are mostly for one resin

function gridFor(contactAngle: number): ProfileGrid {
  if (!isDropAngle(contactAngle)) throw new DomainError('contactAngle', contactAngle, 'rad', 'from 5° to 175°');
  if (lastGrid?.contactAngle !== contactAngle) lastGrid = profileGrid(contactAngle);
  return lastGrid;
}

interface Shot {
  /** First guess and variable of the search: about the greatest radius, in capillary lengths. */
  guess: number;
  target: number;
  measure: (profile: DropProfile) => number;
  /** d ln(measure)/d ln(size) at the guess. */
  power: number;
}

/**
 * Secant search in ln(size) against ln(measure), kept inside the bracket that the tries leave. The measure grows with
 * the size throughout (there is one sessile drop of each volume), with a power that hardly varies.
 */
function shoot(grid: ProfileGrid, p: Shot): DropProfile {
  if (!(p.guess >= SIZES.least && p.guess <= SIZES.greatest))
    throw new OverflowError(DROP_SIZE, p.guess, 'capillary lengths', 'of a size that can be computed');
  let y = Math.log(p.guess);
  let low = -Infinity;
  let high = Infinity;
  let slope = p.power;
  let last: { y: number; error: number } | null = null;
  for (let i = 0; i < DEFAULTS.maxIterations; i++) {
    const profile = integrateProfile(grid, startRadius(Math.exp(y), grid.greatestSine));
    const error = Math.log(p.measure(profile) / p.target);
    if (Math.abs(error) <= DEFAULTS.relative) return profile;
    if (error < 0) low = y;
    else high = y;
    if (last !== null && error !== last.error) slope = (error - last.error) / (y - last.y);
    last = { y, error };
    const step = slope > 0 ? -error / slope : -Math.sign(error);
    y += Math.max(-1, Math.min(1, step));
    if (!(y > low && y < high)) y = (low + high) / 2; // both are finite here: a step leads away from the end just set
    if (y === last.y) break; // no number between: the precision of the profile itself
  }
  throw new ConvergenceError(
    'size of a sessile drop',
    DEFAULTS.maxIterations,
    p.guess,
    last?.error ?? Number.MAX_VALUE,
  );
}

/**
 * Radius at which sin φ = START_SINE for the drop whose linear profile would have sin φ = `sine` at the radius `size`;
 * sinh stands for the Bessel function I1, which it resembles enough for a change of variable.
 */
function startRadius(size: number, sine: number): number {
  const ratio = START_SINE / sine;
  return size > 300 ? size + Math.log(ratio) : Math.asinh(ratio * Math.sinh(size));
}

/** Seen diameter cubed to volume of a cap, and the height of a puddle, in capillary lengths: the two limits of a drop. */
function limits(contactAngle: number): { cap: number; puddle: number } {
  const seen = capSeenDiameter({ contactDiameter: 2, contactAngle }) / 2;
  const cap = capVolume({ contactDiameter: 2, contactAngle }) / seen ** 3;
  return { cap, puddle: 2 * Math.PI * Math.sin(contactAngle / 2) };
}

/** Greatest radius of about this volume: V ≈ 1/(1/(k·r³) + 1/(π·h·r²)), between cap and puddle. */
function sizeOfVolume(contactAngle: number, volume: number): number {
  const { cap, puddle } = limits(contactAngle);
  let r = Math.cbrt(volume / cap) + Math.sqrt(volume / puddle);
  for (let i = 0; i < 4; i++) {
    const error = (cap * puddle * r ** 3) / (cap * r + puddle) / volume;
    r *= error ** (-1 / (3 - (cap * r) / (cap * r + puddle)));
  }
  return r;
}

function volumePower(contactAngle: number, size: number): number {
  const { cap, puddle } = limits(contactAngle);
  return 3 - (cap * size) / (cap * size + puddle);
}

function describe(p: DropLiquid, volume: number, scale: number, profile: DropProfile): Drop {
  const greatestDiameter = 2 * profile.greatestRadius * scale;
  const contactDiameter = 2 * profile.contactRadius * scale;
  const height = profile.height * scale;
  const apexCurvature = profile.apexPressure / 2 / scale;
  const contactAngle = p.contactAngle;
  const capDiameter = capSeenDiameter({ contactDiameter: capContactDiameter({ volume, contactAngle }), contactAngle });
  return {
    volume,
    contactDiameter,
    greatestDiameter,
    seenDiameter: greatestDiameter,
    height,
    apexRadius: 1 / apexCurvature,
    apexCurvature,
    bondNumber: Math.cbrt(volume / scale ** 3) ** 2,
    capDiameter,
    capError: capDiameter / greatestDiameter - 1,
    drivingPressure: 2 * p.surfaceTension * apexCurvature + p.density * STANDARD_GRAVITY * height,
  };
}
