import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { dotFinding } from '../../diagnostics/codes/dot-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { type DotCalibration, fitContactAngle } from '../../physics/drop/dot-calibration.ts';
import { type Drop, dropFromDiameter, dropFromVolume, isDropAngle } from '../../physics/drop/drop.ts';
import type { DotCalibrationPoint, Quantity, Recipe, Resin } from '../../recipe/schema/recipe.ts';
import { tQuantile } from '../../stats/distributions.ts';
import { calibrationTime } from './spreading-resin.ts';

/** The keys of a dot in the results of commands. */
export interface DotKeys {
  /** As seen from above. */
  readonly dot_diameter_mm: number;
  readonly dot_contact_diameter_mm: number;
  readonly dot_height_mm: number;
  /** Cap diameter over true diameter − 1. */
  readonly dot_cap_error_pct: number;
}

/** How the recipe's resin lies on the recipe's surface; SI. */
export interface ResinDot {
  readonly contactAngle: number; // [rad]
  /** Standard uncertainty [rad]; null where an angle is given without a tolerance. */
  readonly standardUncertainty: number | null;
  readonly basis: 'given' | 'calibration';
  readonly calibration: DotCalibration | null;
  readonly readingError: number; // [m]
  /** The drop of a volume [m³] or of a diameter seen from above [m]. */
  readonly drop: (volume: number) => Drop;
  readonly dropOfDiameter: (seenDiameter: number) => Drop;
  /** The keys of the dot of a volume [m³], for a result. */
  readonly keys: (volume: number) => DotKeys;
}

/**
 * The contact angle of the recipe, given or fitted to weighed dots (a recipe has the one or the other), and the drop
 * model bound to it.
 * Needs `resin.density`, `resin.surface_tension` and `resin.dot` with `contact_angle` or `calibration`.
 */
export function resinDot(recipe: Recipe): Outcome<ResinDot> {
  const resin = recipe.resin;
  const findings = missingKeys(resin);
  const { density, surface_tension: surfaceTension, dot } = resin ?? {};
  if (findings.length > 0 || density === undefined || surfaceTension === undefined || dot === undefined) {
    return { result: null, findings };
  }
  const liquid = { density: density.value, surfaceTension: surfaceTension.value };
  const readingError = dot.reading_error.value;
  const calibration = dot.calibration?.length ? calibrate(recipe, dot.calibration, { ...liquid, readingError }) : null;
  if (calibration !== null) findings.push(...calibrationFindings(calibration));
  const contactAngle = calibration?.contactAngle ?? (dot.contact_angle as Quantity).value;
  if (calibration === null && !isDropAngle(contactAngle)) {
    const message = `the contact angle is ${inWords(contactAngle, 'deg')}, the drop model holds from 5 deg to 175 deg`;
    findings.push(dotFinding('contact-angle-out-of-range', 'resin.dot.contact_angle', message));
  }
  if (findings.some(f => f.severity === 'error')) return { result: null, findings };
  const given = dot.contact_angle === undefined ? null : standardUncertainty(dot.contact_angle);
  return {
    result: {
      contactAngle,
      standardUncertainty: calibration === null ? given : calibration.standardUncertainty,
      basis: calibration === null ? 'given' : 'calibration',
      calibration,
      readingError,
      ...boundModel({ ...liquid, contactAngle }),
    },
    findings,
  };
}

function missingKeys(resin: Resin | undefined): Finding[] {
  const needed: [boolean, string][] = [
    [resin?.density === undefined, 'resin.density'],
    [resin?.surface_tension === undefined, 'resin.surface_tension'],
    [resin?.dot?.contact_angle === undefined && !resin?.dot?.calibration?.length, 'resin.dot.contact_angle'],
  ];
  const help = 'give the contact angle, or `resin.dot.calibration` with weighed dots';
  return needed
    .filter(([missing]) => missing)
    .map(([, path]) => blockMissing(path, 'the dot', path.startsWith('resin.dot') ? help : undefined));
}

function boundModel(liquid: {
  density: number;
  surfaceTension: number;
  contactAngle: number;
}): Pick<ResinDot, 'drop' | 'dropOfDiameter' | 'keys'> {
  const drop = (volume: number): Drop => dropFromVolume({ ...liquid, volume });
  return {
    drop,
    dropOfDiameter: seenDiameter => dropFromDiameter({ ...liquid, seenDiameter }),
    keys: volume => dotKeys(drop(volume)),
  };
}

/** A drop as keys of a result. */
function dotKeys(drop: Drop): DotKeys {
  return {
    dot_diameter_mm: drop.seenDiameter * 1e3,
    dot_contact_diameter_mm: drop.contactDiameter * 1e3,
    dot_height_mm: drop.height * 1e3,
    dot_cap_error_pct: drop.capError * 100,
  };
}

/** The mass of a pair is that of all its shots on one circle together. One with an age counts as it was still spreading. */
function calibrate(
  recipe: Recipe,
  pairs: readonly DotCalibrationPoint[],
  p: { density: number; surfaceTension: number; readingError: number },
): DotCalibration {
  const dots = pairs.map(pair => {
    const dot = { volume: pair.mass.value / p.density, diameter: pair.diameter.value };
    const spreadTime = calibrationTime(recipe, pair, dot.volume);
    return spreadTime === null ? dot : { ...dot, spreadTime };
  });
  return fitContactAngle({ ...p, dots });
}

function calibrationFindings(fit: DotCalibration): Finding[] {
  const findings: Finding[] = [];
  const path = 'resin.dot.calibration';
  if (fit.atLimit) {
    const message = `no contact angle from 5 deg to 175 deg fits the ${fit.residuals.length} weighed dots`;
    findings.push(dotFinding('dot-calibration-at-limit', path, message));
    return findings;
  }
  const trend = fit.trend;
  if (trend !== null && Math.abs(trend.slope) > tQuantile(0.975, trend.degreesOfFreedom) * trend.standardError) {
    const perDoubling = inWords(Math.abs(Math.expm1(trend.slope * Math.LN2)), '%', 2);
    const way = trend.slope > 0 ? 'wider' : 'narrower';
    const message = `the weighed dots leave a pattern: each doubling of the diameter makes them ${perDoubling} ${way} against the drop model`;
    if (Math.abs(trend.slope) > NEGLIGIBLE_TREND) findings.push(dotFinding('dot-calibration-pattern', path, message));
  }
  return findings;
}

/** A trend below this share of the diameter per factor e is no finding, however sure it is [-]. */
const NEGLIGIBLE_TREND = 1e-3;

/**
 * Warns of a yield stress [Pa] above the pressure that drives a drop to its shape: the dot then stays as it was laid.
 * With calibration pairs the angle stands for the dots as they are, and there is nothing to warn of.
 */
export function relaxationFindings(p: { dot: ResinDot; volume: number; yieldStress: number }): Finding[] {
  if (!(p.yieldStress > 0) || p.dot.basis === 'calibration') return [];
  const { drivingPressure } = p.dot.drop(p.volume);
  if (p.yieldStress <= drivingPressure) return [];
  const message = `the yield stress is ${inWords(p.yieldStress, 'Pa')}, a dot of ${inWords(p.volume, 'µL')} is driven by ${inWords(drivingPressure, 'Pa')} only`;
  return [dotFinding('dot-does-not-relax', 'resin.rheology.yield_stress', message)];
}

/** Standard uncertainty of a given quantity by its tolerance (JCGM 100:2008, 4.3); null without one. */
function standardUncertainty(quantity: Quantity): number | null {
  const t = quantity.tolerance;
  if (t === undefined) return null;
  if (t.distribution === 'normal') return t.halfWidth / t.coverage;
  return t.halfWidth / Math.sqrt(t.distribution === 'uniform' ? 3 : 6);
}
