import { blockMissing } from '../../diagnostics/codes/block-missing.ts';
import type { Outcome } from '../../diagnostics/finding.ts';
import type { RandomSource } from '../../numeric/random.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { type DotFunctions, dotReader, type ReadVolumes, readVolumes } from '../release/release-readings.ts';
import { chebyshevGrid } from './chebyshev-grid.ts';

/** How every fresh syringe is checked. */
export interface CheckMethod {
  readonly kind: 'dots' | 'masses';
  readonly readings: number;
  /** Shots on one dot or in one weighing; default: as the gauge for dots, 1 for weighings. */
  readonly shots?: number | undefined;
  /** Step of the balance [kg]. */ readonly readability?: number | undefined;
  /** Half-width of a misread dot [m]. */ readonly readingError?: number | undefined;
}

/** Step of a balance where none is said [kg]: 0.1 mg; *our choice, no source*. */
export const READABILITY = 1e-7;

/** How far contact angle and spreading of a resin are off, in standard deviations: the same for all its dots. */
export interface DotOfLot {
  readonly ofAngle: number;
  readonly ofSpreading: number;
}

/** Readings of syringes, one after the other. */
export interface SimulatedReading {
  readonly shots: number;
  /** Another resin, for checks that share it. */
  lot(random: RandomSource): DotOfLot;
  /**
   * Reads so many dots or weighings, whose volumes [m³] `volumeOf` lays; null where one is no dot, or weighs nothing. Without a
   * lot the resin is another one with each check.
   */
  read(volumeOf: () => number, random: RandomSource, lot?: DotOfLot): ReadVolumes | null;
  readonly defaults: readonly string[];
}

/**
 * Readings as they come about: all dots of a check are misread alike, by anything within the reading error, and lie at a contact
 * angle that is off by its own uncertainty, and have spread by a law that is; a balance rounds pan and load. `density` is the true one over the recipe's.
 */
export function simulatedReading(
  recipe: Recipe,
  method: CheckMethod,
  { aim, density }: { aim: number; density: () => number },
): Outcome<SimulatedReading> {
  return method.kind === 'dots' ? dots(recipe, method, aim) : masses(recipe, method, density);
}

function dots(recipe: Recipe, method: CheckMethod, aim: number): Outcome<SimulatedReading> {
  const { readings, shots, readingError } = method;
  const how = { ...(shots !== undefined && { shots }), ...(readingError !== undefined && { readingError }) };
  const plain = dotReader(recipe, how).result;
  const usual = plain === null ? null : plain.timed.diameter(plain.shots * aim);
  const { result: reader, findings } = dotReader(recipe, how, usual === null ? undefined : quickAbout(usual));
  if (reader === null || usual === null) return { result: null, findings };
  const { timed, error } = reader;
  const logDiameter = alongCurve(
    logVolume => Math.log(timed.diameter(Math.exp(logVolume))),
    Math.log(reader.shots * aim),
    3 * WIDTH,
  );
  const another = (random: RandomSource): DotOfLot => ({
    ofAngle: random.normal(),
    ofSpreading: timed.spreads ? random.normal() : 0,
  });
  const read = (volumeOf: () => number, random: RandomSource, lot?: DotOfLot): ReadVolumes | null => {
    const misread = (2 * random.uniform() - 1) * error;
    const { ofAngle, ofSpreading } = lot ?? another(random);
    const diameters: number[] = [];
    for (let i = 0; i < readings; i++) {
      const volume = volumeOf();
      if (!(volume > 0)) return null;
      const true_ = Math.exp(logDiameter(Math.log(volume)));
      const share = reader.ofAngle(true_);
      const lain = share === 0 ? true_ : Math.exp(logDiameter(Math.log(volume * (1 + share * ofAngle))));
      const spread = timed.spreads ? Math.exp(timed.ofSpreadLog(volume) * ofSpreading) : 1;
      diameters.push(lain * spread + misread);
    }
    const lost = diameters.some(diameter => !(diameter > 0) || reader.volumeOf(diameter) === null);
    return lost ? null : reader.read(diameters);
  };
  const given = shots === undefined ? [`shots: ${reader.shots} on a dot, as the recipe's gauge has on a circle`] : [];
  return { result: { shots: reader.shots, lot: another, read, defaults: given }, findings };
}

/** Dots come within this of the usual one, ln of the diameter; others are worked out one by one. */
const WIDTH = Math.log(1.7);
const NODES = 24;

/** The drop model along a curve, for many dots about a diameter [m]. */
function quickAbout(usual: number): (exact: DotFunctions) => DotFunctions {
  return ({ volumeOf, ofAngle }) => {
    const logVolume = alongCurve(
      logDiameter => Math.log(volumeOf(Math.exp(logDiameter)) ?? Number.NaN),
      Math.log(usual),
      WIDTH,
    );
    const share = alongCurve(logDiameter => ofAngle(Math.exp(logDiameter)), Math.log(usual), WIDTH);
    return {
      volumeOf: diameter => {
        const volume = Math.exp(logVolume(Math.log(diameter)));
        return Number.isNaN(volume) ? null : volume;
      },
      ofAngle: diameter => share(Math.log(diameter)),
    };
  };
}

/** A smooth function interpolated about a middle; beyond, and where it cannot be, as it is. */
function alongCurve(f: (x: number) => number, middle: number, half: number): (x: number) => number {
  const only = { low: 0, high: 0, nodes: 1 };
  const grid = chebyshevGrid(f, [{ low: middle - half, high: middle + half, nodes: NODES }, only, only]);
  return grid === null ? f : x => (Math.abs(x - middle) <= half ? grid.at(x, 0, 0) : f(x));
}

/** A balance knows nothing of the resin. */
const STEADY: DotOfLot = { ofAngle: 0, ofSpreading: 0 };

function masses(recipe: Recipe, method: CheckMethod, density: () => number): Outcome<SimulatedReading> {
  const own = recipe.resin?.density?.value;
  if (own === undefined) return { result: null, findings: [blockMissing('resin.density', 'a check by mass')] };
  const { readings, shots = 1, readability = READABILITY } = method;
  const read = (volumeOf: () => number, random: RandomSource): ReadVolumes | null => {
    const weighed: number[] = [];
    for (let i = 0; i < readings; i++) {
      const pan = random.uniform() * readability;
      const load = pan + volumeOf() * own * density();
      weighed.push((Math.round(load / readability) - Math.round(pan / readability)) * readability);
    }
    if (!weighed.every(mass => mass > 0)) return null;
    return readVolumes(recipe, { masses: weighed, shots, readability }).result;
  };
  const defaults = [
    ...(method.shots === undefined ? ['shots: 1 in a weighing'] : []),
    ...(method.readability === undefined ? ['readability: 0.1 mg'] : []),
  ];
  return { result: { shots, lot: () => STEADY, read, defaults }, findings: [] };
}
