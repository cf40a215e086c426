import { type Homography, mapped } from '../../numeric/plane/homography.ts';
import type { Paper } from '../dot/gauge-grid.ts';
import { brightnessAt, type Gray } from './gray-picture.ts';
import { qrText } from './qr-code.ts';
import { readSheetCode, type SheetCode } from './sheet-code.ts';
import { codePlace } from './sheet-marks.ts';

/** Modules along a side of QR codes of versions 3 to 6. */
const SIDES = [29, 33, 37, 41];
/** Modules of a finder pattern that may be wrong, all three together of 147. */
const MOST_WRONG = 20;
/** Where a map is a little off, the code is looked for this far aside, in modules. */
const ASIDE = [0, -0.5, 0.5, -1, 1];

/** The code of a sheet whose place in a picture is known, or nearly; null where it cannot be read. */
export function readCode(picture: Gray, toPicture: Homography, paper: Paper): SheetCode | null {
  for (const side of SIDES) {
    for (const dx of ASIDE) {
      for (const dy of ASIDE) {
        const place = { paper, side, dx, dy };
        if (wrongFinders(picture, toPicture, place) > MOST_WRONG) continue;
        const values = brightnessOf(picture, toPicture, place);
        for (const way of WAYS) {
          const code = readSheetCode(qrText(modulesOf(values, side, way)) ?? '');
          if (code !== null) return code.paper === paper ? code : null;
        }
      }
    }
  }
  return null;
}

interface Place {
  readonly paper: Paper;
  readonly side: number;
  readonly dx: number;
  readonly dy: number;
}

/** Ways to tell black from white: how much a module is set off against its neighbours, and where between black and white. */
const WAYS = [0, 0.5, 1].flatMap(sharper => [0.5, 0.42, 0.58].map(level => ({ sharper, level })));

/** Brightness of each module, rows from above. */
function brightnessOf(picture: Gray, toPicture: Homography, place: Place): Float64Array {
  const { side } = place;
  const at = (i: number) =>
    moduleBrightness(picture, toPicture, place, { row: Math.floor(i / side), column: i % side });
  return Float64Array.from({ length: side * side }, (_, i) => at(i));
}

/** Brightness of a module, around its middle. */
function moduleBrightness(
  picture: Gray,
  toPicture: Homography,
  { paper, side, dx, dy }: Place,
  { row, column }: { row: number; column: number },
): number {
  const code = codePlace(paper);
  const size = code.side / side;
  let sum = 0;
  for (const [x, y] of AROUND) {
    const p = { x: code.x + (column + 0.5 + dx + x) * size, y: code.y + (row + 0.5 + dy + y) * size };
    sum += brightnessAt(picture, mapped(toPicture, p));
  }
  return sum / AROUND.length;
}

/** True for black. */
function modulesOf(values: Float64Array, side: number, { sharper, level }: (typeof WAYS)[0]): boolean[][] {
  const at = (r: number, c: number) =>
    values[Math.min(Math.max(r, 0), side - 1) * side + Math.min(Math.max(c, 0), side - 1)]!;
  const limit = between(values, level);
  const rows = Array.from({ length: side }, (_, i) => i);
  return rows.map(r =>
    rows.map(c => {
      const beside = (at(r - 1, c) + at(r + 1, c) + at(r, c - 1) + at(r, c + 1)) / 4;
      return at(r, c) + sharper * (at(r, c) - beside) < limit;
    }),
  );
}

/** Places in a module over which brightness is taken, as shares of its side from its middle. */
const AROUND = [
  [0, 0],
  [0.2, 0.2],
  [-0.2, 0.2],
  [0.2, -0.2],
  [-0.2, -0.2],
] as const;

/** A brightness between those of black and white modules. */
function between(values: Float64Array, level: number): number {
  const sorted = Float64Array.from(values).sort();
  const [black, white] = [sorted[Math.floor(0.1 * sorted.length)]!, sorted[Math.floor(0.9 * sorted.length)]!];
  return black + (white - black) * level;
}

/** How many modules of the three finder patterns are not as ISO/IEC 18004 has them. */
function wrongFinders(picture: Gray, toPicture: Homography, place: Place): number {
  const far = place.side - FINDER;
  const values = new Float64Array(3 * FINDER ** 2);
  const due: boolean[] = [];
  for (const [top, left] of [
    [0, 0],
    [0, far],
    [far, 0],
  ] as const) {
    for (let r = 0; r < FINDER; r++) {
      for (let c = 0; c < FINDER; c++) {
        values[due.length] = moduleBrightness(picture, toPicture, place, { row: top + r, column: left + c });
        due.push(Math.max(Math.abs(r - 3), Math.abs(c - 3)) !== 2);
      }
    }
  }
  const limit = between(values, 0.5);
  return due.filter((black, i) => values[i]! < limit !== black).length;
}

/** Modules along a side of a finder pattern. */
const FINDER = 7;
