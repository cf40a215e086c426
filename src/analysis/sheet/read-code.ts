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
        const values = brightnessOf(picture, toPicture, { paper, side, dx, dy });
        if (wrongFinders(modulesOf(values, side, WAYS[0]!)) > MOST_WRONG) continue;
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

/** Brightness of each module, around its middle. */
function brightnessOf(picture: Gray, toPicture: Homography, { paper, side, dx, dy }: Place): Float64Array {
  const place = codePlace(paper);
  const size = place.side / side;
  const values = new Float64Array(side * side);
  for (let r = 0; r < side; r++) {
    for (let c = 0; c < side; c++) {
      let sum = 0;
      for (const [x, y] of AROUND) {
        const p = { x: place.x + (c + 0.5 + dx + x) * size, y: place.y + (r + 0.5 + dy + y) * size };
        sum += brightnessAt(picture, mapped(toPicture, p));
      }
      values[r * side + c] = sum / AROUND.length;
    }
  }
  return values;
}

/** True for black. */
function modulesOf(values: Float64Array, side: number, { sharper, level }: (typeof WAYS)[0]): boolean[][] {
  const at = (r: number, c: number) =>
    values[Math.min(Math.max(r, 0), side - 1) * side + Math.min(Math.max(c, 0), side - 1)]!;
  const sorted = Float64Array.from(values).sort();
  const [black, white] = [sorted[Math.floor(0.1 * sorted.length)]!, sorted[Math.floor(0.9 * sorted.length)]!];
  const limit = black + (white - black) * level;
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

/** How many modules of the three finder patterns are not as ISO/IEC 18004 has them. */
function wrongFinders(modules: readonly (readonly boolean[])[]): number {
  const far = modules.length - 7;
  let wrong = 0;
  for (const [top, left] of [
    [0, 0],
    [0, far],
    [far, 0],
  ] as const) {
    for (let r = 0; r < 7; r++) {
      for (let c = 0; c < 7; c++) {
        const ring = Math.max(Math.abs(r - 3), Math.abs(c - 3));
        if (modules[top + r]![left + c]! !== (ring !== 2)) wrong += 1;
      }
    }
  }
  return wrong;
}
