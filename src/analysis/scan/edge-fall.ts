import { composed, type Point } from '../../numeric/plane/homography.ts';
import { brightnessOnRay } from '../sheet/brightness-ray.ts';
import type { FittedSheet } from '../sheet/fit-sheet.ts';
import type { Gray } from '../sheet/gray-picture.ts';
import { pixelsPerMm } from '../sheet/sheet-circles.ts';
import { CORNER_MARK, cornerMarks } from '../sheet/sheet-marks.ts';
import { covering, DIRECTIONS, type DotField, SURE } from './dot-edge.ts';

/**
 * How fast an edge falls: the way from half of its darkness to a fifth. A sharp edge falls as fast as lens and pixels let it. A dot that lets
 * light through grows thinner towards its edge and paler with it; as its surface is hollow nowhere, and darkness grows ever more slowly with
 * thickness, the straight line through half and a fifth comes to nothing at the edge or beyond it.
 */
const HALF = 0.5;
const FIFTH = 0.2;
/** From half of the darkness to the end of that line, over its fall. */
export const TO_NOTHING = HALF / (HALF - FIFTH);

/** How fast the corner marks of a picture fall at their outside, the mean of all [px]: print is as sharp as the picture. */
export function printFall(picture: Gray, { toPicture, code, corners }: FittedSheet): number {
  const places = cornerMarks(code.paper);
  const falls = corners.flatMap(corner => {
    const at = places[corner]!;
    const plane = composed(toPicture, [1, 0, at.x, 0, 1, at.y, 0, 0, 1]);
    const perMm = pixelsPerMm(toPicture, at);
    const middle = (CORNER_MARK.ringInside + CORNER_MARK.ringOutside) / 4;
    const step = 0.2 / perMm;
    const [ray, sum] = [0, 0].map(() => new Float64Array(Math.round(BESIDE / step))) as [Float64Array, Float64Array];
    for (let k = 0; k < DIRECTIONS; k++) {
      const angle = (2 * Math.PI * k) / DIRECTIONS;
      const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
      brightnessOnRay(picture, plane, { x: middle * cos, y: middle * sin, dx: step * cos, dy: step * sin }, ray);
      for (let i = 0; i < sum.length; i++) sum[i]! += ray[i]!;
    }
    const paper = sum.at(-1)!;
    const fall = fallOf(sum.map(v => 1 - v / paper));
    return fall === null ? [] : [fall * step * perMm];
  });
  return falls.reduce((a, b) => a + b, 0) / Math.max(1, falls.length);
}

/** From the middle of a mark's ring outward [mm]. */
const BESIDE = 1.3;

/** How fast a dot falls at its edge [mm], by the mean of all rays, which noise moves less than one alone; null where print hides it. */
export function dotFall(field: DotField, circle: Point & { readonly radius: number }): number | null {
  const bins = Math.ceil(AROUND / field.step);
  const means = new Float64Array(2 * bins + 1);
  for (let i = 0; i < means.length; i++) {
    let [n, sum] = [0, 0];
    const radius = Math.max(0, circle.radius + (i - bins) * field.step);
    for (let k = 0; k < DIRECTIONS; k++) {
      const angle = (2 * Math.PI * k) / DIRECTIONS;
      const p = { x: circle.x + radius * Math.cos(angle), y: circle.y + radius * Math.sin(angle) };
      const { dark, unsure } = covering(field, p);
      if (unsure > SURE) continue;
      n += 1;
      sum += dark;
    }
    means[i] = n < DIRECTIONS / 12 ? Number.NaN : sum / n;
  }
  const fall = fallOf(means);
  return fall === null ? null : fall * field.step;
}

/** On either side of the edge of a dot [mm]. */
const AROUND = 0.6;

/** In samples, outward from the darkest of the first half; null where what is not known (NaN) hides it. */
function fallOf(dark: Float64Array): number | null {
  let darkest = -1;
  for (let i = 0; i <= dark.length / 2; i++) if (dark[i]! > (dark[darkest] ?? 0)) darkest = i;
  if (darkest < 0) return null;
  const passes = (level: number): number | null => {
    for (let i = darkest + 1; i < dark.length; i++) {
      if (Number.isNaN(dark[i]!)) return null;
      if (dark[i]! <= level) return i - (level - dark[i]!) / (dark[i - 1]! - dark[i]!);
    }
    return null;
  };
  const [half, fifth] = [passes(HALF * dark[darkest]!), passes(FIFTH * dark[darkest]!)];
  return half === null || fifth === null ? null : fifth - half;
}
