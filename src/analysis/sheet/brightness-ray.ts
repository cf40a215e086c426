import type { Homography } from '../../numeric/plane/homography.ts';
import type { Gray } from './gray-picture.ts';

/** Places in a plane, evenly on a line: the first, and from each to the next. */
export interface Ray {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
}

/**
 * Brightness of a picture at the places of a ray, as `brightnessAt` has it at their maps. A scan asks for millions of places: numerators and
 * denominator of the map grow evenly along the ray, and nothing is made for a place.
 */
export function brightnessOnRay(picture: Gray, h: Homography, { x, y, dx, dy }: Ray, into: Float64Array): void {
  const { width, height, gray } = picture;
  if (width < 2 || height < 2) {
    into.fill(gray[0]!);
    return;
  }
  const [right, bottom] = [width - 1, height - 1];
  const u = h[0] * x + h[1] * y + h[2];
  const v = h[3] * x + h[4] * y + h[5];
  const w = h[6] * x + h[7] * y + h[8];
  const du = h[0] * dx + h[1] * dy;
  const dv = h[3] * dx + h[4] * dy;
  const dw = h[6] * dx + h[7] * dy;
  for (let i = 0; i < into.length; i++) {
    const by = 1 / (w + i * dw);
    let px = (u + i * du) * by - 0.5;
    let py = (v + i * dv) * by - 0.5;
    if (!(px > 0)) px = 0;
    else if (px > right) px = right;
    if (!(py > 0)) py = 0;
    else if (py > bottom) py = bottom;
    let left = px | 0;
    let top = py | 0;
    if (left === right) left--;
    if (top === bottom) top--;
    const fx = px - left;
    const at = top * width + left;
    const a = gray[at]!;
    const b = gray[at + width]!;
    const above = a + (gray[at + 1]! - a) * fx;
    const below = b + (gray[at + width + 1]! - b) * fx;
    into[i] = above + (below - above) * (py - top);
  }
}
