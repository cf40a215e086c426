import type { Point } from './homography.ts';

/** Area inside a closed outline (Gauss's shoelace formula); the square of the unit of its points. */
export function outlineArea(points: readonly Point[]): number {
  let twice = 0;
  for (const [i, p] of points.entries()) {
    const q = points[(i + 1) % points.length]!;
    twice += p.x * q.y - q.x * p.y;
  }
  return Math.abs(twice) / 2;
}

/** Middle of the area inside a closed outline. Shape: an outline with an area. */
export function outlineMiddle(points: readonly Point[]): Point {
  const origin = points[0]!;
  let [twice, x, y] = [0, 0, 0];
  for (const [i, p] of points.entries()) {
    const q = points[(i + 1) % points.length]!;
    const [px, py, qx, qy] = [p.x - origin.x, p.y - origin.y, q.x - origin.x, q.y - origin.y];
    const cross = px * qy - qx * py;
    twice += cross;
    x += (px + qx) * cross;
    y += (py + qy) * cross;
  }
  return { x: origin.x + x / (3 * twice), y: origin.y + y / (3 * twice) };
}

/** Least and greatest width between parallel lines that touch an outline, over directions 2° apart. */
export function outlineWidths(points: readonly Point[]): { least: number; greatest: number } {
  let [least, greatest] = [Number.POSITIVE_INFINITY, 0];
  for (let k = 0; k < DIRECTIONS; k++) {
    const [cos, sin] = [Math.cos((k * Math.PI) / DIRECTIONS), Math.sin((k * Math.PI) / DIRECTIONS)];
    let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
    for (const p of points) {
      const along = p.x * cos + p.y * sin;
      if (along < low) low = along;
      if (along > high) high = along;
    }
    least = Math.min(least, high - low);
    greatest = Math.max(greatest, high - low);
  }
  return { least, greatest };
}

const DIRECTIONS = 90;
