import { expect, test } from 'vitest';
import { printScale } from '../../../src/analysis/scan/print-scale.ts';
import { circlesOf } from '../../../src/analysis/sheet/sheet-circles.ts';
import type { SheetCode } from '../../../src/analysis/sheet/sheet-code.ts';
import { cornerMarks } from '../../../src/analysis/sheet/sheet-marks.ts';
import { fittedHomography, mapped, type Point, type PointPair } from '../../../src/numeric/plane/homography.ts';
import { type RandomSource, randomSource } from '../../../src/numeric/random.ts';
import { repetitions } from '../../helpers/repetitions.ts';
import { PLAIN, type Taken, takenMap } from './distorted-page.ts';
import { withoutCorner } from './distortions.ts';

/** The size of an A4 page at 100 dpi: nothing is drawn on it. */
const PAGE = { page: { width: 827, height: 1169, gray: new Uint8Array(0) }, dpi: 100 };
const CODE: SheetCode = {
  ...{ version: '1', digest: '0'.repeat(16), paper: 'a4', page: 1, pages: 1, scaleX: 1, scaleY: 1 },
  ...{ rings: [5.06, 6.13, 6.94], columns: 5, rows: 4, circles: 20, shots: 3 },
};

/** A camera held up to 20 degrees askew, its picture cut so that three marks are left. */
function cut(random: RandomSource): Taken | null {
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  const taken = {
    ...{ ...PLAIN, dpi: between(100, 220), scaleX: between(0.95, 1.05), scaleY: between(0.95, 1.05) },
    ...{ turn: between(0, 360), tilt: between(0, 20), tiltAxis: between(0, 180), focal: between(0.8, 2.5) },
  };
  return withoutCorner(taken, PAGE, Math.floor(4 * random.uniform()));
}

/** Marks and rings that are in it, each read to 0.03 px. */
function seen(taken: Taken, random: RandomSource): PointPair[] {
  const { map } = takenMap(PAGE.page, PAGE.dpi, taken);
  const { left, top, right, bottom } = taken.crop!;
  const room = (4 * taken.dpi) / 25.4;
  return [...cornerMarks('a4'), ...circlesOf(CODE).map(c => c.middle)].flatMap((from: Point): PointPair[] => {
    const at = mapped(map, from);
    const inside = at.x > left + room && at.x < right - room && at.y > top + room && at.y < bottom - room;
    const noise = () => 0.03 * random.normal();
    return inside ? [{ from, to: { x: at.x - left + noise(), y: at.y - top + noise() } }] : [];
  });
}

test('a tilted picture that holds three marks tells scales within twice their doubt, or leaves them open', () => {
  const random = randomSource(20260307);
  const over: number[] = [];
  for (let i = 0; i < repetitions(150, 3000); i++) {
    const taken = cut(random);
    if (taken === null) continue;
    const pairs = seen(taken, random);
    const toPicture = fittedHomography(pairs)!;
    const { left, top, right, bottom } = taken.crop!;
    const density = { x: taken.dpi, y: taken.dpi };
    const size = { width: right - left, height: bottom - top };
    const { x, y, aspect } = printScale({ toPicture, pairs, code: CODE, ...size, density });
    for (const [s, due] of [
      [x!, taken.scaleX],
      [y!, taken.scaleY],
      [aspect, taken.scaleX / taken.scaleY],
    ] as const) {
      // What is told is what may be off by half a per cent at most.
      if (s.doubt / s.value <= 0.005) over.push(Math.abs(s.value - due) / s.doubt);
    }
  }
  expect(over.length).toBeGreaterThan(repetitions(15, 300));
  expect(over.filter(o => o > 1).length / over.length).toBeLessThan(0.05);
  expect(Math.max(...over)).toBeLessThan(2);
});
