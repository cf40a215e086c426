import type { Point } from '../../numeric/plane/homography.ts';

/** Shades of grey, 0 black to 255 white, rows from above. A pixel reaches from its number to the next: its middle is at + 0.5. */
export interface Gray {
  readonly width: number;
  readonly height: number;
  readonly gray: Uint8Array;
}

/** Brightness at a place, straight between the middles of pixels; beyond the edge that of the edge. */
export function brightnessAt({ width, height, gray }: Gray, { x, y }: Point): number {
  const px = Math.min(Math.max(x - 0.5, 0), width - 1);
  const py = Math.min(Math.max(y - 0.5, 0), height - 1);
  const left = Math.min(Math.floor(px), Math.max(width - 2, 0));
  const top = Math.min(Math.floor(py), Math.max(height - 2, 0));
  const [fx, fy] = [px - left, py - top];
  const at = top * width + left;
  const right = width > 1 ? 1 : 0;
  const down = height > 1 ? width : 0;
  const above = gray[at]! * (1 - fx) + gray[at + right]! * fx;
  const below = gray[at + down]! * (1 - fx) + gray[at + down + right]! * fx;
  return above * (1 - fy) + below * fy;
}

export function isInside({ width, height }: Gray, { x, y }: Point): boolean {
  return x >= 0 && y >= 0 && x <= width && y <= height;
}

/** Squares of so many pixels as one, their mean; what is left over at the right and below is left out. */
export function reduced(picture: Gray, factor: number): Gray {
  if (factor === 1) return picture;
  const width = Math.floor(picture.width / factor);
  const height = Math.floor(picture.height / factor);
  const gray = new Uint8Array(width * height);
  const sums = new Uint32Array(width);
  for (let y = 0; y < height; y++) {
    sums.fill(0);
    for (let row = 0; row < factor; row++) {
      const start = (y * factor + row) * picture.width;
      for (let x = 0, at = start; x < width; x++)
        for (let k = 0; k < factor; k++, at++) sums[x] = sums[x]! + picture.gray[at]!;
    }
    for (let x = 0; x < width; x++) gray[y * width + x] = sums[x]! / factor ** 2 + 0.5;
  }
  return { width, height, gray };
}
