import {
  fittedHomography,
  type Homography,
  mapped,
  type Point,
  type PointPair,
} from '../../numeric/plane/homography.ts';
import { brightnessAt, type Gray } from './gray-picture.ts';
import { type PlacedSheet, remeasuredMarks } from './place-sheet.ts';
import { findRing } from './ring-profile.ts';
import { circlePlane, circlesOf, onDrawnSheet, pixelsPerMm } from './sheet-circles.ts';
import type { SheetCode } from './sheet-code.ts';
import { sheetSize } from './sheet-marks.ts';

/** A sheet and all that was used to place it. */
export interface FittedSheet extends PlacedSheet {
  /** Corner marks and middles of rings, on the sheet as drawn [mm] and in the picture [px]. */
  readonly pairs: readonly PointPair[];
  /** Root mean square of what is left between them [mm]. */
  readonly misfit: number;
  /** About the middle of the paper. */
  readonly pixelsPerMm: number;
}

const ROUNDS = 2;
/** Points that lie farther off than this many medians were taken for something that they are not. */
const MOST_MEDIANS = 5;
/** Below this nothing is left out [mm]. */
const FINE = 0.04;

/**
 * The map from sheet to picture by all corner marks and all rings that no dot hides: least squares over them, and anew with what is
 * measured through the better map. Null where fewer than four points are left.
 */
export function fitSheet(picture: Gray, placed: PlacedSheet): FittedSheet | null {
  let sheet = placed;
  let fitted: FittedSheet | null = null;
  for (let round = 0; round < ROUNDS; round++) {
    const kept = withoutStrays(remeasuredMarks(picture, sheet), ringMiddles(picture, sheet));
    const toPicture = kept === null ? null : fittedHomography(kept);
    if (kept === null || toPicture === null) return fitted;
    sheet = { ...sheet, toPicture };
    const { width, height } = sheetSize(sheet.code.paper);
    fitted = {
      ...{ ...sheet, pairs: kept, misfit: rms(kept.map(p => offBy(p, toPicture))) },
      pixelsPerMm: pixelsPerMm(toPicture, { x: width / 2, y: height / 2 }),
    };
  }
  return fitted;
}

/**
 * Middles of the rings, all three of a circle together. Dashes and arcs repeat evenly around it, which moves the middle of the darkness on a
 * ray to and fro and the middle of the circle not.
 */
function ringMiddles(picture: Gray, { toPicture, code }: PlacedSheet): PointPair[] {
  return circlesOf(code).flatMap(({ middle }) => {
    const plane = circlePlane(toPicture, code, middle);
    if (!isVisible(picture, plane, code) || isCovered(picture, plane, code)) return [];
    const at = ringMiddle(picture, plane, code);
    return at === null ? [] : [{ from: middle, to: mapped(toPicture, onDrawnSheet(code, middle, at)) }];
  });
}

/** From here the circle is as good as from its own middle: it is off by the square of this over its radius [mm]. */
const SETTLED = 0.02;
/** Beyond the rings on either side [mm]. */
const ASIDE = 0.7;

/** Middle of the rings of one circle, in its plane [mm]; null where they are not there. */
export function ringMiddle(picture: Gray, plane: Homography, code: SheetCode): Point | null {
  const [min, , max] = code.rings.map(d => d / 2) as [number, number, number];
  const window = { from: Math.max(min - ASIDE, 0.4 * min), to: max + ASIDE };
  let at: Point = { x: 0, y: 0 };
  for (let round = 0; round < 2; round++) {
    const rings = findRing(picture, plane, { ...window, middle: at, least: 0.8 });
    if (rings === null || rings.scatter > (max - min) / 2 + 0.15) return null;
    const moved = Math.hypot(rings.middle.x - at.x, rings.middle.y - at.y);
    at = rings.middle;
    if (moved < SETTLED) break;
  }
  return at;
}

/** The whole of the largest ring lies in the picture, with a little room. */
export function isVisible(picture: Gray, plane: Homography, code: SheetCode): boolean {
  const r = code.rings[2] / 2 + 1;
  return Array.from({ length: 16 }, (_, k) => {
    const angle = (k * Math.PI) / 8;
    return mapped(plane, { x: r * Math.cos(angle), y: r * Math.sin(angle) });
  }).every(p => p.x > 1 && p.y > 1 && p.x < picture.width - 1 && p.y < picture.height - 1);
}

/** Something lies inside the smallest ring that is not paper: its half way out is not as bright as what is around the rings. */
export function isCovered(picture: Gray, plane: Homography, code: SheetCode): boolean {
  const [inside, outside] = [0.6 * code.rings[0], 1.15 * code.rings[2] + 0.6].map(d => {
    const values = Array.from({ length: 24 }, (_, k) => {
      const angle = (k * Math.PI) / 12;
      return brightnessAt(picture, mapped(plane, { x: (d / 2) * Math.cos(angle), y: (d / 2) * Math.sin(angle) }));
    }).sort((a, b) => a - b);
    return { low: values[4]!, middle: values[12]! };
  }) as [{ low: number; middle: number }, { low: number; middle: number }];
  return inside.low < 0.85 * outside.middle;
}

/**
 * Marks, and the rings that the others do not speak against; null where there are fewer than four. Marks are always kept, and rings as well where
 * many of them are off: then it is the sheet that does not lie flat.
 */
function withoutStrays(marks: readonly PointPair[], rings: readonly PointPair[]): PointPair[] | null {
  let kept = [...marks, ...rings];
  for (let round = 0; round < 3; round++) {
    const h = kept.length < 4 ? null : fittedHomography(kept);
    if (h === null) return null;
    const off = rings.map(p => offBy(p, h));
    const median = [...off].sort((a, b) => a - b)[Math.floor(off.length / 2)] ?? 0;
    const near = rings.filter((_, i) => off[i]! <= Math.max(FINE, MOST_MEDIANS * median));
    if (near.length < MOST_STRAYS * rings.length) return [...marks, ...rings];
    if (marks.length + near.length === kept.length) break;
    kept = [...marks, ...near];
  }
  return kept;
}

/** Of the rings so many at least are in their places on a flat sheet [-]. */
const MOST_STRAYS = 0.75;

/** Distance on the sheet [mm] between where a point was seen and where the map has it. */
function offBy({ from, to }: PointPair, h: Homography): number {
  const at = mapped(h, from);
  return Math.hypot(at.x - to.x, at.y - to.y) / pixelsPerMm(h, from);
}

function rms(values: readonly number[]): number {
  return Math.sqrt(values.reduce((sum, v) => sum + v * v, 0) / values.length);
}
