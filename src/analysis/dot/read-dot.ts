import { dotFinding } from '../../diagnostics/codes/dot-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { shotsPerCircle } from '../../physics/drop/dot-reading.ts';
import { spreadCurve, spreadTime, timeToShare } from '../../physics/drop/dot-spreading.ts';
import { STANDARD_GRAVITY } from '../../physics/drop/gravity.ts';
import { yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { rheologyModel } from '../delivery/rheology-model.ts';
import type { ResinDot } from './dot.ts';
import { spreadLogOf } from './spreading-resin.ts';

/** A dot as it is when it is read: at rest, or still spreading. */
export interface ReadDot {
  /** False where it is taken as at rest. */
  readonly spreads: boolean;
  /** Diameter over that at rest [-], of a volume [m³]. */
  readonly share: (volume: number) => number;
  /** Diameter seen from above [m] of a volume [m³]. */
  readonly diameter: (volume: number) => number;
  /** Its inverse. Throws: DomainError where the drop model ends. */
  readonly volumeOf: (diameter: number) => number;
  /** Relative volume error [-] of a dot of a volume [m³] misread by the recipe's reading error. */
  readonly misreading: (volume: number) => number;
  /** Shots of a volume [m³] on one circle so that the misreading is at most half the tolerance [-]. */
  readonly shotsFor: (p: { shotVolume: number; tolerance: number }) => number;
  /** Standard uncertainty of ln(diameter) from that of Λ [-], of a volume [m³]. */
  readonly ofSpreadLog: (volume: number) => number;
}

/**
 * How dots of a resin so thick when it is shot [Pa.s] are read `dot.read_after` later: the drop at rest × R(t)/R(∞) of its cap. At rest
 * where nothing is known of its viscosity, or the recipe does
 * not say when they are read, where its contact angle was fitted to dots without ages (it then stands for dots as they are read),
 * for an angle of 90° or more, or with a yield stress.
 */
export function readDot(recipe: Recipe, dot: ResinDot, viscosity: number | null): ReadDot {
  const still = spreadingOf(recipe, dot, viscosity);
  const diameter = (volume: number) => dot.drop(volume).seenDiameter * (still?.share(volume) ?? 1);
  const volumeOf = (seen: number): number => {
    let { volume } = dot.dropOfDiameter(seen);
    if (still === null) return volume;
    // The share hardly depends on the volume: each round takes the error down to a tenth and less.
    for (let i = 0; i < MOST_ROUNDS; i++) {
      const before = volume;
      volume = dot.dropOfDiameter(seen / still.share(volume)).volume;
      if (Math.abs(volume / before - 1) < 1e-12) break;
    }
    return volume;
  };
  const misreading = (volume: number) => volumeOf(diameter(volume) + dot.readingError) / volume - 1;
  return {
    spreads: still !== null,
    share: volume => still?.share(volume) ?? 1,
    ...{ diameter, volumeOf, misreading },
    shotsFor: p => shotsPerCircle({ ...p, errorOf: misreading }),
    ofSpreadLog: volume => still?.ofSpreadLog(volume) ?? 0,
  };
}

const MOST_ROUNDS = 40;

function spreadingOf(recipe: Recipe, dot: ResinDot, viscosity: number | null) {
  const { dot: block, surface_tension } = recipe.resin ?? {};
  const time = block?.read_after?.value;
  if (time === undefined || surface_tension === undefined || viscosity === null) return null;
  if (dot.contactAngle >= Math.PI / 2 || countsAsRead(recipe, dot)) return null;
  const log = spreadLogOf(recipe);
  const curve = spreadCurve(dot.contactAngle);
  const liquid = { viscosity, surfaceTension: surface_tension.value, spreadLog: log.value };
  const at = (volume: number) => spreadTime({ ...liquid, volume, time });
  return {
    share: (volume: number) => curve.share(at(volume)),
    // Time counts in units of Λ, so that ln R moves with ln Λ as it does with ln t.
    ofSpreadLog: (volume: number) => Math.abs(curve.slope(at(volume))) * (log.uncertainty / log.value),
  };
}

/** An angle fitted to dots without ages already is that of dots as they are read. */
function countsAsRead({ resin }: Recipe, dot: Pick<ResinDot, 'basis'>): boolean {
  return dot.basis === 'calibration' && resin?.dot?.calibration?.some(({ age }) => age === undefined) === true;
}

/** Time [s] until a dot of a volume [m³] is within 1 % of its last diameter; null where nothing is known of it. */
export function settledAfter(
  recipe: Recipe,
  { contactAngle, ...dot }: ResinDot,
  { volume, viscosity }: { volume: number; viscosity: number | null },
): number | null {
  const surfaceTension = recipe.resin?.surface_tension?.value;
  if (viscosity === null || surfaceTension === undefined || countsAsRead(recipe, dot)) return null;
  const liquid = { viscosity, surfaceTension, contactAngle, spreadLog: spreadLogOf(recipe).value };
  return timeToShare({ ...liquid, volume, share: FAR });
}

/** A dot this much below its last diameter is far from rest [-]. */
const FAR = 0.99;

/** What there is to say about dots of a volume [m³] that are read while they spread. */
export function spreadingFindings(recipe: Recipe, dot: ResinDot, p: { read: ReadDot; volume: number }): Finding[] {
  const { resin } = recipe;
  const after = resin?.dot?.read_after;
  if (after === undefined || countsAsRead(recipe, dot)) return [];
  if (resin?.rheology !== undefined && yieldStressOf(rheologyModel(resin.rheology)) > 0) {
    const message = 'with a yield stress nobody can say how fast a dot spreads: it is taken as at rest';
    return [dotFinding('dot-spread-unknown', after.path, message)];
  }
  const radius = p.read.diameter(p.volume) / 2;
  const bond = (resin!.density!.value * STANDARD_GRAVITY * radius ** 2) / resin!.surface_tension!.value;
  if (!p.read.spreads || bond <= 1 || p.read.share(p.volume) >= FAR) return [];
  const short = inWords(1 - p.read.share(p.volume), '%', 2);
  const message = `a dot of ${inWords(p.volume, 'µL')} is ${short} below its last diameter after ${inWords(after.value, 's')}, and so wide that gravity spreads it faster than that`;
  return [dotFinding('dot-spread-gravity', after.path, message)];
}
