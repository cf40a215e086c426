import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords } from '../../diagnostics/number-words.ts';
import { DomainError } from '../../numeric/domain-error.ts';
import { dropFromDiameter } from '../../physics/drop/drop.ts';
import { yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mean } from '../../stats/descriptive.ts';
import { uncertaintyOfHalfWidth } from '../../stats/uncertainty.ts';
import { rheologyModel } from '../delivery/rheology-model.ts';
import { type ResinDot, relaxationFindings, resinDot } from '../dot/dot.ts';

/** What was read off a fresh syringe: dots as seen from above, or weighings. */
export interface ReleaseReadings {
  /** Diameters [m]. */
  readonly dots?: readonly number[];
  /** Masses of all shots of a weighing together [kg]. */
  readonly masses?: readonly number[];
  /** Shots on one dot or in one weighing; default 1. */
  readonly shots?: number;
  /** Smallest step that the balance shows [kg]. */
  readonly readability?: number;
  /** Half-width of a misreading of a dot [m]; default `resin.dot.reading_error`. */
  readonly readingError?: number;
}

/** A cause that all readings share, and that more of them do not average out; relative to the shot [-]. */
export interface SharedCause {
  readonly cause: 'reading' | 'contact angle' | 'balance';
  readonly relative: number;
}

export interface ReadVolumes {
  readonly kind: 'dots' | 'masses';
  /** As read: [m] or [kg]. */
  readonly readings: readonly number[];
  readonly shots: number;
  /** Of one shot [m³]. */
  readonly volumes: readonly number[];
  readonly shared: readonly SharedCause[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * Volumes of one shot [m³] from dots or weighings, with the uncertainty that all readings share.
 *
 * A misreading is taken as shared: the same eye reads all dots against the same edge. It is rectangular, half-width/√3
 * (JCGM 100:2008, 4.3.7). A weighing is the difference of two readings of a balance, each rounded to its step δ: δ/√12 each
 * (F.2.2.1), δ/√6 together; it is shared as well, since masses that hardly scatter are all rounded alike.
 */
export function readVolumes(recipe: Recipe, read: ReleaseReadings): Outcome<ReadVolumes> {
  return read.dots !== undefined ? dotVolumes(recipe, read.dots, read) : massVolumes(recipe, read.masses ?? [], read);
}

function massVolumes(recipe: Recipe, masses: readonly number[], read: ReleaseReadings): Outcome<ReadVolumes> {
  const density = recipe.resin?.density?.value;
  if (density === undefined) return { result: null, findings: [blockMissing('resin.density', 'a release by mass')] };
  const shots = read.shots ?? 1;
  const { readability } = read;
  const relative = readability === undefined ? 0 : readability / Math.sqrt(6) / mean(masses);
  const result: ReadVolumes = {
    kind: 'masses',
    readings: masses,
    shots,
    volumes: masses.map(mass => mass / density / shots),
    shared: [{ cause: 'balance', relative }],
    models: [],
    defaults: readability === undefined ? ['readability: the balance is taken as exact'] : [],
  };
  return { result, findings: [] };
}

function dotVolumes(recipe: Recipe, dots: readonly number[], read: ReleaseReadings): Outcome<ReadVolumes> {
  const { result: dot, findings } = resinDot(recipe);
  if (dot === null) return { result: null, findings };
  const shots = read.shots ?? 1;
  const bad: Finding[] = [];
  const volumes = dots.flatMap((diameter, i) => {
    const volume = volumeOf(dot, diameter);
    if (volume === null) {
      const message = `dot ${i + 1}, ${inWords(diameter, 'mm')} across, is no drop of this resin`;
      bad.push(floorFinding('release-reading', null, message));
    }
    return volume === null ? [] : [volume / shots];
  });
  if (bad.length > 0) return { result: null, findings: [...findings, ...bad] };
  const shaped = relaxationFindings({ dot, volume: mean(volumes) * shots, yieldStress: yieldStress(recipe) });
  const result: ReadVolumes = {
    kind: 'dots',
    readings: dots,
    shots,
    volumes,
    shared: sharedByDots(recipe, dot, { diameter: mean(dots), error: read.readingError ?? dot.readingError }),
    models: ['dot Young–Laplace'],
    defaults: dot.standardUncertainty === null ? ['resin.dot.contact_angle: taken as exact, it has no tolerance'] : [],
  };
  return { result, findings: [...findings, ...shaped] };
}

/** A resin above its yield stress only in the needle leaves a dot that is no drop. */
function yieldStress({ resin }: Recipe): number {
  return resin?.rheology === undefined ? 0 : yieldStressOf(rheologyModel(resin.rheology));
}

/** Null where the drop model ends. */
function volumeOf(dot: ResinDot, diameter: number): number | null {
  try {
    return dot.dropOfDiameter(diameter).volume;
  } catch (error) {
    if (error instanceof DomainError) return null;
    throw error;
  }
}

function sharedByDots(recipe: Recipe, dot: ResinDot, p: { diameter: number; error: number }): SharedCause[] {
  const at = dot.dropOfDiameter(p.diameter).volume;
  const misread = dot.dropOfDiameter(p.diameter + p.error).volume / at - 1;
  const reading = { cause: 'reading' as const, relative: uncertaintyOfHalfWidth(misread, 'uniform') };
  const spread = dot.standardUncertainty;
  if (spread === null || spread === 0) return [reading];
  const { density, surface_tension } = recipe.resin ?? {}; // resinDot has asked for them
  const liquid = { density: density!.value, surfaceTension: surface_tension!.value, seenDiameter: p.diameter };
  const other = dropFromDiameter({ ...liquid, contactAngle: dot.contactAngle + spread }).volume;
  return [reading, { cause: 'contact angle', relative: Math.abs(other / at - 1) }];
}
