import { requireNonNegative, requirePositive } from '../../numeric/domain-error.ts';
import { pchip } from '../../numeric/pchip.ts';
import { integrate } from '../../numeric/quadrature.ts';
import { findRoot } from '../../numeric/root.ts';
import { capContactDiameter } from './cap.ts';

/** Λ of the spreading law where nobody says else: ln of the ratio of drop size to slip length; *ours, no source*. */
export const SPREAD_LOG = 10;
/** A dot is laid down at this contact angle [rad] and spreads from there. */
const FIRST_ANGLE = Math.PI / 2;
/** Foldings of the distance to the last angle after which a double no longer tells the two apart. */
const LAST_FOLDING = 40;

export interface SpreadingDot {
  /** Volume of the dot [m³]. */ volume: number;
  /** Viscosity of the resin [Pa.s]. */ viscosity: number;
  /** Surface tension [N/m]. */ surfaceTension: number;
  /** Contact angle at rest [rad]; 0 spreads for ever. */ contactAngle: number;
  /** Λ [-]. */ spreadLog: number;
}

/**
 * Contact angle [rad] of a dot some time [s] after it was laid down at 90°.
 *
 *   dR/dt = (γ/η)·(θ³ − θₑ³)/(9·Λ), a spherical cap of constant volume
 *
 * In the angle the law is a quadrature: with R = V^(1/3)·ρ(θ), t = (9·Λ·η·V^(1/3)/γ)·∫ρ'(θ)/(θ³ − θₑ³) dθ. An angle at rest of
 * 90° or more is taken up at once.
 * Valid for: dots small against the capillary length (gravity spreads a larger one faster), no yield stress.
 * Throws: DomainError for a time below zero, or a volume, viscosity, tension or Λ that is not positive.
 * Source: Cox, J. Fluid Mech. 168 (1986) 169-194; Voinov, Fluid Dyn. 11 (1976) 714-721 (both from memory); Λ is ours.
 * Evidence: R ∝ t^(1/10) for an angle at rest of zero (Tanner, J. Phys. D 12 (1979) 1473-1484); a plain integration.
 */
export function spreadingAngle(dot: SpreadingDot & { time: number }): number {
  requireNonNegative('time', dot.time, 's');
  const rest = restAngle(dot);
  if (rest >= FIRST_ANGLE) return rest;
  const wanted = dot.time / timeScale(dot);
  if (wanted === 0) return FIRST_ANGLE;
  let to = 1 / 8;
  while (dimensionlessTime(rest, to) < wanted) {
    if (to > LAST_FOLDING) return rest;
    to *= 2;
  }
  return angleAt(
    rest,
    findRoot(s => dimensionlessTime(rest, s) - wanted, 0, to, { relative: 1e-12 }),
  );
}

/** Diameter of a spreading dot over the diameter at which it comes to rest [-]; at most 1. Throws as {@link spreadingAngle}. */
export function spreadShare(dot: SpreadingDot & { time: number }): number {
  requirePositive('contactAngle', dot.contactAngle, 'rad');
  const { volume } = dot;
  const now = capContactDiameter({ volume, contactAngle: spreadingAngle(dot) });
  return now / capContactDiameter({ volume, contactAngle: dot.contactAngle });
}

/** Share of the diameter at rest [-], and how fast it grows, over time in units of 9·Λ·η·V^(1/3)/γ. */
export interface SpreadCurve {
  share(time: number): number;
  /** d ln(share)/d ln(time) [-]. */
  slope(time: number): number;
}

const CURVE = { first: 1e-6, nodes: 400 } as const;
let kept: { readonly angle: number; readonly curve: SpreadCurve } | null = null;

/**
 * {@link spreadShare} of one contact angle for any size, viscosity and time, as a table: many dots are read with one angle.
 * Within 2e-6 of the integral. Throws: DomainError for an angle that is not above zero and below π.
 */
export function spreadCurve(contactAngle: number): SpreadCurve {
  if (kept?.angle !== contactAngle) kept = { angle: contactAngle, curve: tabled(contactAngle) };
  return kept.curve;
}

function tabled(contactAngle: number): SpreadCurve {
  requirePositive('contactAngle', contactAngle, 'rad');
  requirePositive('pi - contactAngle', Math.PI - contactAngle, 'rad');
  if (contactAngle >= FIRST_ANGLE) return { share: () => 1, slope: () => 0 };
  const size = (angle: number) => capContactDiameter({ volume: 1, contactAngle: angle });
  const share = (s: number) => size(angleAt(contactAngle, s)) / size(contactAngle);
  const times: number[] = [];
  const shares: number[] = [];
  let [time, from] = [0, 0];
  for (let i = 0; i < CURVE.nodes; i++) {
    const s = CURVE.first * (LAST_FOLDING / CURVE.first) ** (i / (CURVE.nodes - 1));
    time += dimensionlessTime(contactAngle, s, from);
    from = s;
    times.push(Math.log(time));
    shares.push(share(s));
  }
  const table = pchip(times, shares);
  const [least, most] = [times[0]!, times.at(-1)!];
  const at = (time: number) =>
    time <= 0 || Math.log(time) <= least ? share(0) : Math.log(time) >= most ? 1 : Math.min(1, table(Math.log(time)));
  const step = 1e-3;
  return {
    share: at,
    slope: t => (t <= 0 ? 0 : Math.log(at(t * Math.exp(step)) / at(t * Math.exp(-step))) / (2 * step)),
  };
}

/** As {@link spreadShare}, at a time in the units of a {@link SpreadCurve}. Throws as {@link spreadingAngle}. */
export function spreadShareAt(contactAngle: number, time: number): number {
  const unit = { volume: 1, viscosity: 1, surfaceTension: 9, spreadLog: 1 };
  return spreadShare({ ...unit, contactAngle, time });
}

/** Time of a dot in the units of its {@link SpreadCurve}. Throws as {@link spreadingAngle}. */
export function spreadTime(dot: Omit<SpreadingDot, 'contactAngle'> & { time: number }): number {
  requireNonNegative('time', dot.time, 's');
  return dot.time / timeScale(dot);
}

/**
 * Time [s] until the diameter of a dot is this share of the one at rest; 0 where it is so from the start.
 * Throws: DomainError for a share that is not between 0 and 1, and as {@link spreadingAngle}.
 */
export function timeToShare(dot: SpreadingDot & { share: number }): number {
  requirePositive('share', dot.share, '-');
  requirePositive('1 - share', 1 - dot.share, '-');
  requirePositive('contactAngle', dot.contactAngle, 'rad');
  const rest = restAngle(dot);
  const size = (contactAngle: number) => capContactDiameter({ volume: 1, contactAngle });
  const wanted = rest >= FIRST_ANGLE ? 0 : dot.share * size(rest);
  if (size(Math.max(rest, FIRST_ANGLE)) >= wanted) return 0;
  const s = findRoot(s => size(angleAt(rest, s)) - wanted, 0, LAST_FOLDING);
  return timeScale(dot) * dimensionlessTime(rest, s);
}

function restAngle({ contactAngle }: SpreadingDot): number {
  requireNonNegative('contactAngle', contactAngle, 'rad');
  requirePositive('pi - contactAngle', Math.PI - contactAngle, 'rad');
  return contactAngle;
}

/** 9·Λ·η·V^(1/3)/γ [s]. */
function timeScale({ volume, viscosity, surfaceTension, spreadLog }: Omit<SpreadingDot, 'contactAngle'>): number {
  requirePositive('volume', volume, 'm³');
  requirePositive('viscosity', viscosity, 'Pa.s');
  requirePositive('surfaceTension', surfaceTension, 'N/m');
  requirePositive('spreadLog', spreadLog, '-');
  return (9 * spreadLog * viscosity * Math.cbrt(volume)) / surfaceTension;
}

/** θ after s foldings of its distance to the angle at rest. */
function angleAt(rest: number, s: number): number {
  return rest + (FIRST_ANGLE - rest) * Math.exp(-s);
}

/**
 * Time in units of {@link timeScale} until s. In s = −ln((θ − θₑ)/(90° − θₑ)) the integrand has no pole:
 * (θ − θₑ)/(θ³ − θₑ³) = 1/(θ² + θ·θₑ + θₑ²).
 */
function dimensionlessTime(rest: number, s: number, from = 0): number {
  return integrate(
    u => {
      const angle = angleAt(rest, u);
      const t = Math.tan(angle / 2);
      const radius = capContactDiameter({ volume: 1, contactAngle: angle }) / 2;
      const slope = (radius * (1 + t * t) ** 2) / (2 * t * (3 + t * t)); // −dρ/dθ
      return slope / (angle * angle + angle * rest + rest * rest);
    },
    from,
    s,
  );
}
