import { type Homography, mapped, type Point } from '../../numeric/plane/homography.ts';
import { circleMiddle, gridOf } from '../dot/gauge-grid.ts';
import type { SheetCode } from './sheet-code.ts';

/** A circle of a gauge sheet: its number over all pages, and its middle on the page as drawn [mm]. */
export interface SheetCircle {
  readonly circle: number;
  readonly middle: Point;
}

/** The circles of the page that a code is of. */
export function circlesOf(code: SheetCode): SheetCircle[] {
  const grid = gridOf(code.paper, code);
  const perPage = code.columns * code.rows;
  const before = (code.page - 1) * perPage;
  return Array.from({ length: Math.min(perPage, code.circles - before) }, (_, i) => {
    const { x, y } = circleMiddle(grid, i);
    return { circle: before + i + 1, middle: { x: x * 1000, y: y * 1000 } };
  });
}

/** Half the distance between neighbouring circles [mm]. */
export function halfCell(code: SheetCode): { x: number; y: number } {
  const grid = gridOf(code.paper, code);
  return { x: grid.cellWidth * 500, y: grid.cellHeight * 500 };
}

/**
 * The map from the plane of one circle to the picture: its middle at zero, in millimetres of a print that came out as it was meant.
 * Rings are drawn divided by the printer's scales and are round there.
 */
export function circlePlane(toPicture: Homography, code: SheetCode, middle: Point): Homography {
  const [a, b, c, d, e, f, g, h, i] = toPicture;
  const [sx, sy] = [1 / code.scaleX, 1 / code.scaleY];
  const at = (p: number, q: number, r: number) => p * middle.x + q * middle.y + r;
  return [a * sx, b * sy, at(a, b, c), d * sx, e * sy, at(d, e, f), g * sx, h * sy, at(g, h, i)];
}

/** The place on the sheet as drawn of a place in the plane of a circle. */
export function onDrawnSheet(code: SheetCode, middle: Point, p: Point): Point {
  return { x: middle.x + p.x / code.scaleX, y: middle.y + p.y / code.scaleY };
}

/** Pixels in a millimetre at a place [1/mm], the mean of both directions. */
export function pixelsPerMm(toPicture: Homography, at: Point): number {
  const p = mapped(toPicture, at);
  const x = mapped(toPicture, { x: at.x + 0.5, y: at.y });
  const y = mapped(toPicture, { x: at.x, y: at.y + 0.5 });
  return Math.hypot(x.x - p.x, x.y - p.y) + Math.hypot(y.x - p.x, y.y - p.y);
}
