import type { Homography, Point } from '../../numeric/plane/homography.ts';
import { type FittedSheet, isCovered, isVisible, ringMiddle } from '../sheet/fit-sheet.ts';
import type { Gray } from '../sheet/gray-picture.ts';
import { meanDarkness } from '../sheet/ring-profile.ts';
import { circlePlane, circlesOf } from '../sheet/sheet-circles.ts';

export type RingName = 'min' | 'aim' | 'max';
const NAMES: readonly RingName[] = ['min', 'aim', 'max'];

/** A ring of the sheet as it was printed. */
export interface MeasuredRing {
  readonly circle: number;
  readonly name: RingName;
  readonly due: number; // [mm]
  /** Diameter by the middle of its line, against the corner marks [mm]; null where it cannot be told. */
  readonly measured: number | null;
}

/** Room beside the outer rings [mm]. */
const ASIDE = 0.7;
/** Between two rings that are told apart it is not darker than this share of the paler one [-]. */
const VALLEY = 0.6;

/** Every ring of the page. Rings under a dot, out of the picture, or too near to each other for its pixels are null. */
export function measuredRings(picture: Gray, { code, toPicture }: FittedSheet): MeasuredRing[] {
  return circlesOf(code).flatMap(({ circle, middle }) => {
    const plane = circlePlane(toPicture, code, middle);
    const clear = isVisible(picture, plane, code) && !isCovered(picture, plane, code);
    const at = clear ? ringMiddle(picture, plane, code) : null;
    const radii = at === null ? null : lineRadii(picture, plane, { at, due: code.rings.map(d => d / 2) });
    return NAMES.map((name, i): MeasuredRing => {
      const radius = radii?.[i] ?? null;
      return { circle, name, due: code.rings[i]!, measured: radius === null ? null : 2 * radius };
    });
  });
}

/**
 * Radii of the lines about a middle [mm]: darkness over all directions falls into one hill for each line, parted at the palest place between
 * two, and the middle of a hill is the line's. Null for hills that have no valley between them.
 */
function lineRadii(
  picture: Gray,
  plane: Homography,
  { at, due }: { at: Point; due: readonly number[] },
): (number | null)[] {
  const from = Math.max(due[0]! - ASIDE, 0.4 * due[0]!);
  const { values: dark, step } = meanDarkness(picture, plane, { middle: at, from, to: due.at(-1)! + ASIDE });
  const index = (radius: number) => Math.min(dark.length - 1, Math.max(0, Math.round((radius - from) / step)));
  const parts = [0, ...due.slice(1).map((r, i) => palest(dark, index(due[i]!), index(r))), dark.length - 1];
  const peaks = due.map((_, i) => greatest(dark, parts[i]!, parts[i + 1]!));
  const parted = parts.map((place, i) =>
    i === 0 || i === due.length ? true : dark[place]! < VALLEY * Math.min(peaks[i - 1]!, peaks[i]!),
  );
  return due.map((radius, i) => {
    if (!(peaks[i]! > 0 && parted[i] && parted[i + 1])) return null;
    let [sum, moment] = [0, 0];
    for (let k = parts[i]!; k <= parts[i + 1]!; k++) {
      const weight = Math.max(0, dark[k]! - 0.1 * peaks[i]!);
      sum += weight;
      moment += weight * k;
    }
    const found = from + (moment / sum) * step;
    // Farther off is another line than this one.
    return Math.abs(found - radius) < 0.3 * Math.max(radius - (due[i - 1] ?? 0), 0.2) ? found : null;
  });
}

function palest(values: Float64Array, from: number, to: number): number {
  let best = from;
  for (let i = from; i <= to; i++) if (values[i]! < values[best]!) best = i;
  return best;
}

function greatest(values: Float64Array, from: number, to: number): number {
  return values.subarray(from, to + 1).reduce((a, b) => Math.max(a, b), 0);
}
