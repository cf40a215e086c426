import { DomainError, requirePositive } from '../../numeric/domain-error.ts';
import { spreadShareAt } from './dot-spreading.ts';
import { CONTACT_ANGLE_RANGE, dropFromVolume } from './drop.ts';

export interface WeighedDot {
  /** Volume of all that lies on the circle [m³]. */ readonly volume: number;
  /** Diameter as seen from above [m]. */ readonly diameter: number;
  /** When it was read, in the units of its spreading; absent: at rest. */ readonly spreadTime?: number;
}

export interface DotResidual extends WeighedDot {
  /** ln(diameter/diameter of the model) [-]: the relative residual. */
  readonly residual: number;
}

/** Trend of the residuals against ln(diameter): the pattern that a wrong model leaves. */
export interface ResidualTrend {
  /** Relative residual per factor e of diameter [-]. */
  readonly slope: number;
  readonly standardError: number;
  readonly degreesOfFreedom: number;
}

export interface DotCalibration {
  readonly contactAngle: number; // [rad]
  /** Standard uncertainty of the angle [rad]. */
  readonly standardUncertainty: number;
  /** Where it comes from: the scatter of the dots, or for a single dot the reading error. */
  readonly basis: 'scatter' | 'reading-error';
  readonly degreesOfFreedom: number;
  /** Sample standard deviation of the relative residuals (n − 1) [-]; null for a single dot. */
  readonly residualStandardDeviation: number | null;
  readonly residuals: readonly DotResidual[];
  /** Null with fewer than three dots or dots all of one size. */
  readonly trend: ResidualTrend | null;
  /** The best angle lies at a limit of the model: the dots are not what it describes. */
  readonly atLimit: boolean;
}

export interface CalibrationInput {
  readonly dots: readonly WeighedDot[];
  readonly surfaceTension: number; // [N/m]
  readonly density: number; // [kg/m³]
  /** Half-width of a diameter reading [m], taken as uniform. */
  readonly readingError: number;
}

const DEFAULTS = { angleStep: 1e-4, relative: 1e-11, maxIterations: 100 };

/**
 * The contact angle [rad] that fits weighed dots best: least squares of ln(diameter) about the drop model.
 *
 *   minimise Σ [ln d_i − ln D(V_i, θ)]²;  u(θ) = s/√Σg_i², g_i = ∂ln D/∂θ, s² = Σr²/(n − 1)
 *
 * Relative residuals, because readings scatter by about a constant share. The sum of squares has one slope that falls
 * through zero, since D falls with the angle: bisection on it cannot run away.
 *
 * Valid for: angles 5° to 175°. Shape: one object in, one {@link DotCalibration} out.
 * Throws: DomainError when there is no dot or an argument is not finite and positive.
 * Source: Gauss–Newton linearisation, JCGM 100:2008 for the single dot (uniform reading error, e/√3).
 * Evidence: dots made by the cap formula and by the drop model give their angle back; hand value of u.
 */
export function fitContactAngle(p: CalibrationInput): DotCalibration {
  check(p);
  const slope = (angle: number): number => {
    let sum = 0;
    for (const dot of p.dots) {
      const { ln, gradient } = model(p, dot, angle);
      sum += (Math.log(dot.diameter) - ln) * gradient;
    }
    return sum;
  };
  const { angle, atLimit } = rootOfSlope(slope);
  const points = p.dots.map(dot => ({ dot, ...model(p, dot, angle) }));
  const residuals = points.map(({ dot, ln }) => ({ ...dot, residual: Math.log(dot.diameter) - ln }));
  const gradientSquares = points.reduce((sum, q) => sum + q.gradient ** 2, 0);
  const n = residuals.length;
  const first = p.dots[0] as WeighedDot;
  const scatter = n > 1 ? Math.sqrt(residuals.reduce((sum, r) => sum + r.residual ** 2, 0) / (n - 1)) : null;
  const spread = scatter ?? p.readingError / Math.sqrt(3) / first.diameter;
  return {
    contactAngle: angle,
    standardUncertainty: spread / Math.sqrt(gradientSquares),
    basis: scatter === null ? 'reading-error' : 'scatter',
    degreesOfFreedom: n - 1,
    residualStandardDeviation: scatter,
    residuals,
    trend: trendOf(residuals),
    atLimit,
  };
}

function check(p: CalibrationInput): void {
  if (p.dots.length === 0) throw new DomainError('dots.length', 0, '-', 'at least 1');
  for (const dot of p.dots) {
    requirePositive('volume', dot.volume, 'm³');
    requirePositive('diameter', dot.diameter, 'm');
  }
  requirePositive('readingError', p.readingError, 'm');
}

/** ln of the model's diameter, and its derivative by the angle (central difference). */
function model(
  p: CalibrationInput,
  { volume, spreadTime }: WeighedDot,
  angle: number,
): { ln: number; gradient: number } {
  const { least, greatest } = CONTACT_ANGLE_RANGE;
  const share = (contactAngle: number) => (spreadTime === undefined ? 1 : spreadShareAt(contactAngle, spreadTime));
  const at = (contactAngle: number): number =>
    Math.log(dropFromVolume({ ...p, volume, contactAngle }).seenDiameter * share(contactAngle));
  const low = Math.max(least, angle - DEFAULTS.angleStep);
  const high = Math.min(greatest, angle + DEFAULTS.angleStep);
  return { ln: at(angle), gradient: (at(high) - at(low)) / (high - low) };
}

/**
 * The angle where the half-derivative −½·dΣr²/dθ = Σ r·g changes sign. g < 0 and r grows with θ: too small an angle
 * makes model dots too wide, r < 0 and Σ r·g > 0; so it falls from above zero to below.
 */
function rootOfSlope(slope: (angle: number) => number): { angle: number; atLimit: boolean } {
  let { least: low, greatest: high } = CONTACT_ANGLE_RANGE;
  if (slope(low) <= 0) return { angle: low, atLimit: true };
  if (slope(high) >= 0) return { angle: high, atLimit: true };
  for (let i = 0; i < DEFAULTS.maxIterations && high - low > DEFAULTS.relative * high; i++) {
    const middle = (low + high) / 2;
    if (slope(middle) > 0) low = middle;
    else high = middle;
  }
  return { angle: (low + high) / 2, atLimit: false };
}

/** Straight line of the residuals over ln(diameter), by least squares. */
function trendOf(residuals: readonly DotResidual[]): ResidualTrend | null {
  const n = residuals.length;
  if (n < 3) return null;
  const xs = residuals.map(r => Math.log(r.diameter));
  const meanX = xs.reduce((a, b) => a + b, 0) / n;
  const meanY = residuals.reduce((sum, r) => sum + r.residual, 0) / n;
  const sxx = xs.reduce((sum, x) => sum + (x - meanX) ** 2, 0);
  if (!(sxx > 1e-6)) return null; // sizes within a tenth of a per cent say nothing about a trend
  const sxy = residuals.reduce((sum, r, i) => sum + ((xs[i] as number) - meanX) * (r.residual - meanY), 0);
  const slope = sxy / sxx;
  const rest = residuals.reduce((sum, r, i) => {
    return sum + (r.residual - meanY - slope * ((xs[i] as number) - meanX)) ** 2;
  }, 0);
  return { slope, standardError: Math.sqrt(rest / (n - 2) / sxx), degreesOfFreedom: n - 2 };
}
