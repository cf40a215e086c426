import { PAPER_SIZES, type Paper } from '../dot/gauge-grid.ts';

/** A place on the paper [mm], from its upper left corner. */
export interface SheetPoint {
  readonly x: number;
  readonly y: number;
}

/** A corner mark: a disc inside a ring, far enough from the edge for any printer [mm]. */
export const CORNER_MARK = { inset: 10, disc: 2, ringInside: 4, ringOutside: 6 } as const;

/** Corners clockwise from the upper left, as a reader of the sheet sees them. */
export type Corner = 0 | 1 | 2 | 3;

/** Middles of the four corner marks. They stand where they are, whatever scale the rings are drawn for. */
export function cornerMarks(paper: Paper): readonly SheetPoint[] {
  const { width, height } = sheetSize(paper);
  const { inset } = CORNER_MARK;
  return [
    { x: inset, y: inset },
    { x: width - inset, y: inset },
    { x: width - inset, y: height - inset },
    { x: inset, y: height - inset },
  ];
}

/** Size of the paper [mm]. */
export function sheetSize(paper: Paper): { width: number; height: number } {
  const { width, height } = PAPER_SIZES[paper];
  return { width: width * 1000, height: height * 1000 };
}

/** The square of the code, its modules without the white around them: upper left corner and side [mm]. */
export function codePlace(paper: Paper): { x: number; y: number; side: number } {
  return { x: sheetSize(paper).width - 15 - CODE_SIDE, y: 14.6, side: CODE_SIDE };
}

const CODE_SIDE = 18.6;
