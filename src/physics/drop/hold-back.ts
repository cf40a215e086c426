import { DomainError, requireFinite, requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import type { Frustum } from '../cavity/cavity.ts';
import { STANDARD_GRAVITY } from './gravity.ts';

/** The vacuums [Pa below atmosphere] that neither let the tip drip nor draw the resin up. */
export interface HoldBackWindow {
  readonly min: number;
  /** Below zero where even without vacuum the meniscus is drawn in. */
  readonly max: number;
  /** Whether any vacuum, zero included, lies in the window. */
  readonly exists: boolean;
}

export interface TipAtRest {
  /** Height of the resin over the tip [m]. */ height: number;
  density: number; // [kg/m³]
  surfaceTension: number; // [N/m]
  /** Inside diameter of the needle at its tip [m]. */ bore: number;
  /** Contact angle in the needle [rad], 0 to π. */ contactAngle: number;
  /** Plunger friction [Pa]. */ friction: number;
  /** Pressure that a yield stress holds in the needle [Pa]; see {@link yieldHold}. */ yieldHold: number;
}

/**
 * The window of hold-back vacuum [Pa] for a needle at rest, tip down, while the friction of the plunger keeps the resin where it is.
 *
 *   from max(0, ρgh − 4γ/d − f − Y) to ρgh + 4γ·cos θ/d + f + Y
 *
 * Valid for: round tips, small against the capillary length; resin at rest; tip pointing down.
 * Shape: one object in, one {@link HoldBackWindow} out.
 * Throws: DomainError when an argument is out of its range.
 * Source: Laplace pressure of a meniscus (de Gennes, Brochard-Wyart & Quéré, Capillarity and Wetting Phenomena, ch. 1)
 * and hydrostatics; friction and yield stress resist motion either way.
 * Evidence: hand values, limit cases.
 */
export function holdBackWindow(p: TipAtRest): HoldBackWindow {
  return window(p, p.yieldHold + p.friction);
}

/**
 * The window of hold-back vacuum [Pa] that serves whatever the plunger has kept: one that sticks after venting holds up to f in, one
 * that was drawn up holds as much off. The pressure at the tip then lies anywhere between ρgh − vacuum − f and ρgh − vacuum + f.
 *
 *   from max(0, ρgh − 4γ/d + f − Y) to ρgh + 4γ·cos θ/d − f + Y
 *
 * It does not exist where the plunger sticks by more than the meniscus and the yield stress hold.
 * Valid for, shape, throws: as {@link holdBackWindow}.
 * Source: static friction takes any value up to its limit, either way (Coulomb); the rest as there.
 * Evidence: the common part of the windows of both ends, by hand.
 */
export function safeHoldBackWindow(p: TipAtRest): HoldBackWindow {
  return window(p, p.yieldHold - p.friction);
}

/** `resistance` [Pa] is what widens the window of head and meniscus, each way. */
function window(p: TipAtRest, resistance: number): HoldBackWindow {
  requireNonNegative('height', p.height, 'm');
  requirePositive('density', p.density, 'kg/m³');
  requirePositive('surfaceTension', p.surfaceTension, 'N/m');
  requirePositive('bore', p.bore, 'm');
  requireFinite('contactAngle', p.contactAngle, 'rad');
  if (p.contactAngle < 0 || p.contactAngle > Math.PI) {
    throw new DomainError('contactAngle', p.contactAngle, 'rad', 'from 0 to π');
  }
  requireNonNegative('friction', p.friction, 'Pa');
  requireNonNegative('yieldHold', p.yieldHold, 'Pa');
  const head = p.density * STANDARD_GRAVITY * p.height; // [Pa]
  const meniscus = (4 * p.surfaceTension) / p.bore; // [Pa]
  const min = Math.max(0, head - meniscus - resistance);
  const max = head + meniscus * Math.cos(p.contactAngle) + resistance;
  return { min, max, exists: max >= min };
}

/** The vacuums that serve both windows. */
export function commonWindow(a: HoldBackWindow, b: HoldBackWindow): HoldBackWindow {
  const min = Math.max(a.min, b.min);
  const max = Math.min(a.max, b.max);
  return { min, max, exists: max >= min };
}

/**
 * Pressure [Pa] that a yield stress holds at rest in a needle: 4·τ₀·L/d for a cylinder, 4·τ₀·L·ln(d₂/d₁)/(d₂ − d₁) for
 * a cone, added over the sections. Throws: DomainError when an argument is out of its range.
 */
export function yieldHold(p: { yieldStress: number; sections: readonly Frustum[] }): number {
  requireNonNegative('yieldStress', p.yieldStress, 'Pa');
  return p.sections.reduce((sum, s) => sum + 4 * p.yieldStress * s.length * meanInverse(s), 0);
}

/** Mean of 1/d over a frustum [1/m]. */
function meanInverse(s: Frustum): number {
  requirePositive('front', s.front, 'm');
  requirePositive('rear', s.rear, 'm');
  requirePositive('length', s.length, 'm');
  const difference = s.rear - s.front;
  // ln(1 + x)/x keeps its digits for nearly equal ends
  return difference === 0 ? 1 / s.front : Math.log1p(difference / s.front) / difference;
}
