import type { Gray } from './gray-picture.ts';

/** Pixels that hang together and are darker than their surroundings. */
export interface Spot {
  /** Number of pixels. */
  readonly area: number;
  /** Middle of the pixels [px]. */
  readonly x: number;
  readonly y: number;
  /** Second moments about the middle [px²]. */
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Darker than the mean around by this share is ink [-]. */
const DARKER = 0.22;
/** The surroundings are a square of the picture's greater side over this. */
const SQUARES = 16;
/** Fewer pixels are no mark, and in a noisy picture there are millions of them. */
const LEAST_AREA = 12;

/** The dark spots of a picture, against the mean brightness around each pixel, so that a shadow over the paper is none. */
export function darkSpots(picture: Gray): Spot[] {
  return spotsOf(picture, darkPixels(picture));
}

function darkPixels({ width, height, gray }: Gray): Uint8Array {
  // Sums over everything above and left of a pixel; a picture of 16 million white pixels just fits 32 bits.
  const stride = width + 1;
  const sums = new Uint32Array(stride * (height + 1));
  for (let y = 0; y < height; y++) {
    let row = 0;
    for (let x = 0; x < width; x++) {
      row += gray[y * width + x]!;
      sums[(y + 1) * stride + x + 1] = sums[y * stride + x + 1]! + row;
    }
  }
  const half = Math.max(8, Math.round(Math.max(width, height) / SQUARES / 2));
  const dark = new Uint8Array(width * height);
  for (let y = 0; y < height; y++) {
    const [y0, y1] = [Math.max(0, y - half), Math.min(height, y + half + 1)];
    const [above, below] = [y0 * stride, y1 * stride];
    for (let x = 0; x < width; x++) {
      const x0 = x < half ? 0 : x - half;
      const x1 = x + half + 1 > width ? width : x + half + 1;
      const sum = sums[below + x1]! - sums[below + x0]! - sums[above + x1]! + sums[above + x0]!;
      const mean = sum / ((x1 - x0) * (y1 - y0));
      if (gray[y * width + x]! < mean * (1 - DARKER)) dark[y * width + x] = 1;
    }
  }
  return dark;
}

/** Runs of dark pixels of one row, joined with the runs of the row above that they touch, corners included. */
function spotsOf({ width, height }: Gray, dark: Uint8Array): Spot[] {
  const parent: number[] = [];
  const find = (i: number): number => {
    let root = i;
    while (parent[root] !== root) root = parent[root]!;
    while (parent[i] !== root) {
      const next = parent[i]!;
      parent[i] = root;
      i = next;
    }
    return root;
  };
  const runs: number[] = []; // row, first, end, one after another
  let above = 0;
  for (let y = 0; y < height; y++) {
    const first = parent.length;
    let k = above;
    for (let x = 0; x < width; x++) {
      if (dark[y * width + x] === 0) continue;
      const start = x;
      while (x < width && dark[y * width + x] === 1) x++;
      const run = parent.length;
      parent.push(run);
      runs.push(y, start, x);
      while (k < first && runs[3 * k + 2]! < start) k++;
      for (let j = k; j < first && runs[3 * j + 1]! <= x; j++) {
        const [a, b] = [find(j), find(run)];
        if (a !== b) parent[Math.max(a, b)] = Math.min(a, b);
      }
    }
    above = first;
  }
  return gathered(
    runs,
    parent.map((_, i) => find(i)),
  );
}

function gathered(runs: readonly number[], rootOf: readonly number[]): Spot[] {
  const sums = new Map<number, number[]>();
  for (const [i, root] of rootOf.entries()) {
    const [y, first, end] = [runs[3 * i]!, runs[3 * i + 1]!, runs[3 * i + 2]!];
    let s = sums.get(root);
    if (s === undefined) {
      s = [0, 0, 0, 0, 0, 0, first, end, y, y + 1];
      sums.set(root, s);
    }
    const n = end - first;
    const x = (first + end) / 2; // middle of the run; its pixels stand at first + 0.5 to end − 0.5
    const row = y + 0.5;
    s[0]! += n;
    s[1]! += n * x;
    s[2]! += n * row;
    s[3]! += n * (x * x + (n * n - 1) / 12);
    s[4]! += n * x * row;
    s[5]! += n * row * row;
    s[6] = Math.min(s[6]!, first);
    s[7] = Math.max(s[7]!, end);
    s[9] = y + 1;
  }
  const out: Spot[] = [];
  for (const s of sums.values()) {
    const [area, sx, sy, sxx, sxy, syy, left, right, top, bottom] = s as [
      ...[number, number, number, number, number, number, number, number, number, number],
    ];
    if (area < LEAST_AREA) continue;
    const [x, y] = [sx / area, sy / area];
    const moments = { xx: sxx / area - x * x + 1 / 12, xy: sxy / area - x * y, yy: syy / area - y * y + 1 / 12 };
    out.push({ area, x, y, ...moments, left, right, top, bottom });
  }
  return out;
}
