import { type Homography, mapped, type Point } from '../../numeric/plane/homography.ts';
import { circlePlane, circlesOf } from '../sheet/sheet-circles.ts';
import { CORNER_MARK, cornerMarks } from '../sheet/sheet-marks.ts';
import type { SeenSheet } from './scan.ts';

/** A closed line over the working picture [px], and what it is around. */
export interface Outline {
  readonly of: 'mark' | 'ring' | 'dot';
  readonly points: readonly Point[];
}

/** Where corner marks and rings are by the map that was found: what lies beside its mark was read wrongly. */
export function sheetOutlines({ sheet }: SeenSheet): Outline[] {
  const { toPicture, code } = sheet;
  const places = cornerMarks(code.paper);
  const marks = sheet.corners.map((corner): Outline => {
    const middle = places[corner]!;
    return { of: 'mark', points: circlePoints(toPicture, middle, CORNER_MARK.ringOutside / 2) };
  });
  const rings = circlesOf(code).flatMap(({ middle }) => {
    const plane = circlePlane(toPicture, code, middle);
    return code.rings.map((d): Outline => ({ of: 'ring', points: circlePoints(plane, { x: 0, y: 0 }, d / 2) }));
  });
  return [...marks, ...rings];
}

const POINTS = 96;

function circlePoints(toPicture: Homography, middle: Point, radius: number): Point[] {
  return Array.from({ length: POINTS }, (_, k) => {
    const angle = (2 * Math.PI * k) / POINTS;
    return mapped(toPicture, { x: middle.x + radius * Math.cos(angle), y: middle.y + radius * Math.sin(angle) });
  });
}
