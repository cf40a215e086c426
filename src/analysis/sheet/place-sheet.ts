import {
  fittedHomography,
  type Homography,
  localMap,
  mapped,
  type Point,
  type PointPair,
} from '../../numeric/plane/homography.ts';
import type { Paper } from '../dot/gauge-grid.ts';
import type { FoundMark } from './find-marks.ts';
import type { Gray } from './gray-picture.ts';
import { readCode } from './read-code.ts';
import { localHomography, refineMark } from './refine-mark.ts';
import type { SheetCode } from './sheet-code.ts';
import { CORNER_MARK, cornerMarks } from './sheet-marks.ts';

/** A sheet that was found in a picture. */
export interface PlacedSheet {
  /** From the sheet as drawn [mm] to the picture [px]. */
  readonly toPicture: Homography;
  readonly code: SheetCode;
  /** Corner marks that were seen, by their corner, 0 to 3 clockwise from the upper left. */
  readonly corners: readonly number[];
}

/** A corner mark of the picture, its middle known to a fraction of a pixel. */
interface SharpMark extends Point {
  /** Square pixels of a square millimetre there. */
  readonly area: number;
}

export interface FoundSheet {
  readonly sheet: PlacedSheet | null;
  /** How many marks stood in the picture, whether or not a sheet was found. */
  readonly marks: number;
}

/** Where the sheet lies, and what its code says. */
export function placeSheet(picture: Gray, found: readonly FoundMark[]): FoundSheet {
  const marks = found.flatMap(m => sharpMark(picture, m) ?? []);
  for (const size of [4, 3] as const) {
    for (const chosen of choices(marks, size)) {
      const around = clockwise(chosen);
      for (const paper of ['a4', 'letter'] as const) {
        for (const corners of cornersOf(size)) {
          const toPicture = mapOf(around, corners, paper);
          if (toPicture === null || !isPossible(toPicture, around, corners, paper)) continue;
          const code = readCode(picture, toPicture, paper);
          if (code !== null) return { sheet: { toPicture, code, corners }, marks: marks.length };
        }
      }
    }
  }
  return { sheet: null, marks: marks.length };
}

/** The local map by the outside of the ring, whose radius a blurred picture changes least. */
function sharpMark(picture: Gray, found: FoundMark): SharpMark | null {
  const [a, b, c, d] = found.local;
  const refined = refineMark(picture, localHomography(found), { x: 0, y: 0 });
  if (refined === null) return null;
  const area = Math.abs(a * d - b * c) * ((refined.outside + refined.inside) / 2) ** 2;
  return { ...refined.at, area };
}

/** All ways to take so many of a list, in its order. */
function choices<T>(list: readonly T[], size: number): T[][] {
  if (size === 0) return [[]];
  return list.flatMap((first, i) => choices(list.slice(i + 1), size - 1).map(rest => [first, ...rest]));
}

/** In the order of the corners of a sheet that is not seen from behind: y points down in a picture as on the sheet. */
function clockwise<T extends Point>(points: readonly T[]): T[] {
  const x = points.reduce((sum, p) => sum + p.x, 0) / points.length;
  const y = points.reduce((sum, p) => sum + p.y, 0) / points.length;
  return [...points].sort((p, q) => Math.atan2(p.y - y, p.x - x) - Math.atan2(q.y - y, q.x - x));
}

/** Which corners marks in clockwise order may be: any may be the first, and of three any corner may be missing. */
function cornersOf(size: 3 | 4): number[][] {
  const rings = size === 4 ? [[0, 1, 2, 3]] : [0, 1, 2, 3].map(gone => [0, 1, 2, 3].filter(c => c !== gone));
  return rings.flatMap(ring => ring.map((_, turn) => [...ring.slice(turn), ...ring.slice(0, turn)]));
}

function mapOf(marks: readonly SharpMark[], corners: readonly number[], paper: Paper): Homography | null {
  const places = cornerMarks(paper);
  const pairs = marks.map((to, i): PointPair => ({ from: places[corners[i]!]!, to }));
  return pairs.length === 4 ? fittedHomography(pairs) : ofThree(pairs, marks);
}

/**
 * Three points fix a homography when it is known how much smaller the farther ones are seen: an area shrinks with the cube of the third
 * component w, so w goes with area^(−1/3), and H·(x, y, 1) = w·(x', y', 1) is linear in H.
 */
function ofThree(pairs: readonly PointPair[], marks: readonly SharpMark[]): Homography | null {
  const w = marks.map(m => (m.area / marks[0]!.area) ** (-1 / 3));
  const rows = pairs.map(({ from }) => [from.x, from.y, 1] as const);
  const [a, b, c] = rows as [(typeof rows)[0], (typeof rows)[0], (typeof rows)[0]];
  const determinant = dot(a, cross(b, c));
  if (!(Math.abs(determinant) > 1)) return null;
  const columns = [cross(b, c), cross(c, a), cross(a, b)].map(v => v.map(x => x / determinant));
  const solved = (right: readonly number[]) =>
    [0, 1, 2].map(i => right.reduce((sum, value, k) => sum + value * columns[k]![i]!, 0));
  const h = [
    ...solved(pairs.map(({ to }, i) => to.x * w[i]!)),
    ...solved(pairs.map(({ to }, i) => to.y * w[i]!)),
    ...solved(w),
  ];
  return h.every(Number.isFinite) && h[8] !== 0 ? (h.map(v => v / h[8]!) as unknown as Homography) : null;
}

function cross(a: readonly number[], b: readonly number[]): number[] {
  const [x = 0, y = 0, z = 0] = a;
  const [u = 0, v = 0, w = 0] = b;
  return [y * w - z * v, z * u - x * w, x * v - y * u];
}

function dot(a: readonly number[], b: readonly number[]): number {
  return a.reduce((sum, v, i) => sum + v * b[i]!, 0);
}

/** Stretch and tilt together make one direction longer than the other by this much at most [-]. */
const MOST_ANISOTROPY = 1.4;

/** The marks are as large as the map has them, the sheet is seen from the front, and hardly foreshortened. */
function isPossible(h: Homography, marks: readonly SharpMark[], corners: readonly number[], paper: Paper): boolean {
  const places = cornerMarks(paper);
  return corners.every((corner, i) => {
    const at = places[corner]!;
    const w = h[6] * at.x + h[7] * at.y + h[8];
    const [a, b, c, d] = localMap(h, at);
    const area = a * d - b * c;
    if (!(w > 0 && area > 0)) return false;
    const ratio = area / marks[i]!.area;
    const squares = (a * a + b * b + c * c + d * d) / 2;
    const greatest = Math.sqrt(squares + Math.sqrt(Math.max(0, squares ** 2 - area ** 2)));
    return ratio > 0.7 && ratio < 1.4 && greatest ** 2 / area < MOST_ANISOTROPY;
  });
}

/** Corner marks as they are seen through a map, for who wants them anew: middle on the sheet and in the picture. */
export function remeasuredMarks(picture: Gray, sheet: PlacedSheet): PointPair[] {
  const places = cornerMarks(sheet.code.paper);
  return sheet.corners.flatMap(corner => {
    const from = places[corner]!;
    const { x, y } = mapped(sheet.toPicture, from);
    const reach = CORNER_MARK.ringOutside;
    const inside = x > reach && y > reach && x < picture.width - reach && y < picture.height - reach;
    const refined = inside ? refineMark(picture, sheet.toPicture, from) : null;
    return refined === null ? [] : [{ from, to: refined.at }];
  });
}
