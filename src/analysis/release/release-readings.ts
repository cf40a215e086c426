import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import type { Finding, Outcome } from '../../diagnostics/finding.ts';
import { inWords, shortened } from '../../diagnostics/number-words.ts';
import { DomainError } from '../../numeric/domain-error.ts';
import { dropFromDiameter } from '../../physics/drop/drop.ts';
import { yieldStressOf } from '../../physics/rheology/rheology.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { mean } from '../../stats/descriptive.ts';
import { uncertaintyOfHalfWidth } from '../../stats/uncertainty.ts';
import { rheologyModel } from '../delivery/rheology-model.ts';
import { type ResinDot, relaxationFindings, resinDot } from '../dot/dot.ts';
import { plannedGauge } from '../dot/gauge.ts';
import { type ReadDot, readDot, spreadingFindings } from '../dot/read-dot.ts';
import { type DotMoment, spreadingViscosity } from '../dot/spreading-resin.ts';

/** What was read off a fresh syringe: dots as seen from above, or weighings. */
export interface ReleaseReadings {
  /** Diameters [m]. */
  readonly dots?: readonly number[];
  /** Masses of all shots of a weighing together [kg]. */
  readonly masses?: readonly number[];
  /** Shots on one dot or in one weighing; default: what the recipe's gauge puts on a circle for dots, 1 for weighings. */
  readonly shots?: number;
  /** Smallest step that the balance shows [kg]; default: the last digit that was typed. */
  readonly readability?: number;
  /** Value of the last digit of the readings as typed [kg or m]. */
  readonly lastDigit?: number;
  /** Half-width of a misreading of a dot [m]; default `resin.dot.reading_error`. */
  readonly readingError?: number;
}

/** How and when it was read: dots spread, and the later they are shot the slower. */
export interface TimedReadings extends ReleaseReadings, Partial<DotMoment> {}

/** A cause that all readings share, and that more of them do not average out; relative to the shot [-]. */
export interface SharedCause {
  readonly cause: 'reading' | 'contact angle' | 'spreading' | 'balance';
  readonly relative: number;
}

export interface ReadVolumes {
  readonly kind: 'dots' | 'masses';
  /** As read: [m] or [kg]. */
  readonly readings: readonly number[];
  readonly shots: number;
  /** `shots` was not said, and is the gauge's. */
  readonly shotsOfGauge: boolean;
  /** Of one shot [m³]. */
  readonly volumes: readonly number[];
  /** Standard uncertainty of a single reading by itself, over the shot [-]. */
  readonly readingScatter: number;
  readonly shared: readonly SharedCause[];
  readonly models: readonly string[];
  readonly defaults: readonly string[];
}

/**
 * Volumes of one shot [m³] from dots or weighings, with the uncertainty that all readings share.
 *
 * A misreading is taken as shared: the same eye reads all dots against the same edge. It is rectangular, half-width/√3
 * (JCGM 100:2008, 4.3.7), and never less than half the last digit. A weighing is the difference of two readings of a balance, each
 * rounded to its step δ: δ/√12 each (F.2.2.1), δ/√6 together; it is shared as well, since masses that hardly scatter are all
 * rounded alike. Both may also differ from reading to reading, so that they are no sign of a bad syringe: `readingScatter`.
 */
export function readVolumes(recipe: Recipe, read: TimedReadings): Outcome<ReadVolumes> {
  return read.dots !== undefined ? dotVolumes(recipe, read.dots, read) : massVolumes(recipe, read.masses ?? [], read);
}

function massVolumes(recipe: Recipe, masses: readonly number[], read: ReleaseReadings): Outcome<ReadVolumes> {
  const density = recipe.resin?.density?.value;
  if (density === undefined) return { result: null, findings: [blockMissing('resin.density', 'a release by mass')] };
  const shots = read.shots ?? 1;
  const readability = read.readability ?? read.lastDigit;
  const relative = readability === undefined ? 0 : readability / Math.sqrt(6) / mean(masses);
  const result: ReadVolumes = {
    kind: 'masses',
    readings: masses,
    ...{ shots, shotsOfGauge: false },
    volumes: masses.map(mass => mass / density / shots),
    shared: [{ cause: 'balance', relative }],
    readingScatter: relative,
    models: [],
    defaults: [
      ...(read.shots === undefined ? ['shots: 1 in a weighing'] : []),
      ...(read.readability === undefined ? [balanceNote(read.lastDigit)] : []),
    ],
  };
  return { result, findings: [] };
}

function balanceNote(lastDigit: number | undefined): string {
  if (lastDigit === undefined) return 'readability: the balance is taken as exact';
  return `readability: the last digit of the masses, ${shortened(lastDigit * 1e6)} mg`;
}

function dotVolumes(recipe: Recipe, dots: readonly number[], how: TimedReadings): Outcome<ReadVolumes> {
  const { result: reader, findings } = dotReader(recipe, how);
  if (reader === null) return { result: null, findings };
  const bad = dots.flatMap((diameter, i): Finding[] => {
    if (reader.volumeOf(diameter) !== null) return [];
    const message = `dot ${i + 1}, ${inWords(diameter, 'mm')} across, is no drop of this resin`;
    return [floorFinding('release-reading', null, message)];
  });
  if (bad.length > 0) return { result: null, findings: [...findings, ...bad] };
  const result = reader.read(dots);
  const volume = mean(result.volumes) * result.shots;
  const shaped = relaxationFindings({ dot: reader.dot, volume, yieldStress: yieldStress(recipe) });
  const spread = spreadingFindings(recipe, reader.dot, { read: reader.timed, volume });
  return { result, findings: [...findings, ...shaped, ...spread] };
}

/** How dots of a recipe are read, ready for any of them. */
export interface DotReader {
  readonly dot: ResinDot;
  /** The dot as it is when it is read. */
  readonly timed: ReadDot;
  readonly shots: number;
  /** Half-width of a misreading [m]. */ readonly error: number;
  /** Volume of a dot so wide [m³]; null where the drop model ends. */
  readonly volumeOf: (diameter: number) => number | null;
  /** Standard uncertainty of a volume from that of the contact angle, over it, for a dot so wide [-]. */
  readonly ofAngle: (diameter: number) => number;
  /** Diameters that are drops [m]. */
  readonly read: (dots: readonly number[]) => ReadVolumes;
}

/** The same reading, with functions in place of the drop model where many dots are read. */
export type DotFunctions = Pick<DotReader, 'volumeOf' | 'ofAngle'>;

/** What it takes to read dots of a recipe; `quick` may stand in place of the drop model. */
export function dotReader(
  recipe: Recipe,
  how: TimedReadings,
  quick: (exact: DotFunctions) => DotFunctions = exact => exact,
): Outcome<DotReader> {
  const { result: dot, findings } = resinDot(recipe);
  if (dot === null) return { result: null, findings };
  const ofGauge = how.shots === undefined ? (plannedGauge(recipe).result?.shots ?? null) : null;
  const shots = how.shots ?? ofGauge ?? 1;
  const error = Math.max(how.readingError ?? dot.readingError, (how.lastDigit ?? 0) / 2);
  const { age = recipe.process?.ready_after.value ?? 0, temperature, lotFactor } = how;
  const conditions = {
    ...(temperature !== undefined && { temperature }),
    ...(lotFactor !== undefined && { lotFactor }),
  };
  const viscosity =
    recipe.resin?.dot?.read_after === undefined ? null : spreadingViscosity(recipe, { age, ...conditions });
  const timed = readDot(recipe, dot, viscosity);
  const { volumeOf, ofAngle } = quick({
    volumeOf: diameter => dropVolume(timed, diameter),
    ofAngle: diameter => angleShare(recipe, dot, diameter),
  });
  const angle =
    dot.standardUncertainty === null ? ['resin.dot.contact_angle: taken as exact, it has no tolerance'] : [];
  const read = (dots: readonly number[]): ReadVolumes => {
    const diameter = mean(dots);
    // A wider dot holds more; what rounding takes away from that is nothing.
    const misread = Math.max(0, volumeOf(diameter + error)! / volumeOf(diameter)! - 1);
    const reading = { cause: 'reading' as const, relative: uncertaintyOfHalfWidth(misread, 'uniform') };
    const share = ofAngle(diameter);
    // ln V moves with ln d as a misreading shows; ln d moves with ln Λ as the spreading law has it.
    const slope = Math.log1p(misread) / Math.log1p(error / diameter);
    const spreading = slope * timed.ofSpreadLog(volumeOf(diameter)!);
    return {
      kind: 'dots',
      readings: dots,
      ...{ shots, shotsOfGauge: ofGauge !== null, volumes: dots.map(each => volumeOf(each)! / shots) },
      shared: [
        reading,
        ...(share === 0 ? [] : [{ cause: 'contact angle' as const, relative: share }]),
        ...(spreading === 0 ? [] : [{ cause: 'spreading' as const, relative: spreading }]),
      ],
      readingScatter: reading.relative,
      models: ['dot Young–Laplace', ...(timed.spreads ? ['spreading Cox–Voinov'] : [])],
      defaults: [...shotsNote(how.shots, ofGauge), ...angle, ...spreadNote(recipe, timed)],
    };
  };
  return { result: { dot, timed, shots, error, volumeOf, ofAngle, read }, findings };
}

function spreadNote({ resin }: Recipe, { spreads }: ReadDot): string[] {
  return spreads && resin?.dot?.spread_log === undefined
    ? ['resin.dot.spread_log: 10 ± 5, ours, without a source']
    : [];
}

function shotsNote(said: number | undefined, ofGauge: number | null): string[] {
  if (said !== undefined) return [];
  return [ofGauge === null ? 'shots: 1 on a dot' : `shots: ${ofGauge} on a dot, as the recipe's gauge has on a circle`];
}

/** A resin above its yield stress only in the needle leaves a dot that is no drop. */
function yieldStress({ resin }: Recipe): number {
  return resin?.rheology === undefined ? 0 : yieldStressOf(rheologyModel(resin.rheology));
}

/** Null where the drop model ends. */
function dropVolume(dot: ReadDot, diameter: number): number | null {
  try {
    return dot.volumeOf(diameter);
  } catch (error) {
    if (error instanceof DomainError) return null;
    throw error;
  }
}

/** What the standard uncertainty of the contact angle makes of a volume, over it [-]; zero for an exact one. */
function angleShare(recipe: Recipe, dot: ResinDot, seenDiameter: number): number {
  const spread = dot.standardUncertainty;
  if (spread === null || spread === 0) return 0;
  const { density, surface_tension } = recipe.resin ?? {}; // resinDot has asked for them
  const liquid = { density: density!.value, surfaceTension: surface_tension!.value, seenDiameter };
  const other = dropFromDiameter({ ...liquid, contactAngle: dot.contactAngle + spread }).volume;
  return Math.abs(other / dot.dropOfDiameter(seenDiameter).volume - 1);
}
