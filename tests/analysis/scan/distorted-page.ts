import { createCanvas } from '@napi-rs/canvas';
import { readJpeg } from '../../../src/data/read-jpeg.ts';
import { composed, type Homography, inverted } from '../../../src/numeric/plane/homography.ts';
import type { RandomSource } from '../../../src/numeric/random.ts';
import type { Gray } from './drawn-page.ts';

/** How a picture of a page is taken, and what the printer did to it. */
export interface Taken {
  /** Pixels in an inch where the axis of the camera meets the paper. */
  readonly dpi: number;
  /** Printed over drawn length, across and down. */
  readonly scaleX: number;
  readonly scaleY: number;
  /** Clockwise [deg]. */
  readonly turn: number;
  /** Of the paper about an axis in the picture [deg], and where that axis points [deg]. */
  readonly tilt: number;
  readonly tiltAxis: number;
  /** Focal length over the longer side of the picture. */
  readonly focal: number;
  /** Darkest corner over the brightest [-]. */
  readonly light: number;
  /** Standard deviation of a soft lens [px], and of noise [levels]. */
  readonly blur: number;
  readonly noise: number;
  /** Quality of the JPEG; null for none. */
  readonly jpeg: number | null;
  /** Part of the picture that is kept [px]; null for all. */
  readonly crop: { left: number; top: number; right: number; bottom: number } | null;
}

export const PLAIN: Taken = {
  ...{ dpi: 300, scaleX: 1, scaleY: 1, turn: 0, tilt: 0, tiltAxis: 0, focal: 1.2, light: 1, blur: 0, noise: 0 },
  ...{ jpeg: null, crop: null },
};

const TABLE = 120; // brightness of what the paper lies on
const PAPER = 244;
const INK = 18;

/** Pixels beyond the paper on every side, as a share of its longer side. */
const ROOM = 0.04;

/**
 * From the page [mm] to the picture [px], and the size of that. The paper is printed, turned about its middle, tilted, and seen through a pinhole: a
 * place (X, Y, Z) of the scene is seen at f·X/(D + Z).
 */
export function takenMap(page: Gray, pageDpi: number, t: Taken): { map: Homography; width: number; height: number } {
  const perMm = t.dpi / 25.4;
  const [wide, high] = [page.width, page.height].map(v => (v * 25.4) / pageDpi) as [number, number];
  const radians = (degrees: number) => (degrees * Math.PI) / 180;
  const [c, s] = [Math.cos(radians(t.turn)), Math.sin(radians(t.turn))];
  const print: Homography = [t.scaleX, 0, (-t.scaleX * wide) / 2, 0, t.scaleY, (-t.scaleY * high) / 2, 0, 0, 1];
  const turn: Homography = [c, -s, 0, s, c, 0, 0, 0, 1];
  const [w, h] = [wide * t.scaleX, high * t.scaleY];
  const width = Math.ceil((Math.abs(c) * w + Math.abs(s) * h) * (1 + 2 * ROOM) * perMm);
  const height = Math.ceil((Math.abs(s) * w + Math.abs(c) * h) * (1 + 2 * ROOM) * perMm);
  const f = t.focal * Math.max(width, height);
  const distance = f / perMm; // [mm]
  const [ax, ay] = [Math.cos(radians(t.tiltAxis)), Math.sin(radians(t.tiltAxis))];
  const [ct, st] = [Math.cos(radians(t.tilt)), Math.sin(radians(t.tilt))];
  // Rotation about the axis (ax, ay, 0), its first two columns; the third row is the depth.
  const tilt: Homography = [
    ...[ct + ax * ax * (1 - ct), ax * ay * (1 - ct), 0],
    ...[ax * ay * (1 - ct), ct + ay * ay * (1 - ct), 0],
    ...[-ay * st, ax * st, distance],
  ] as unknown as Homography;
  const camera: Homography = [f, 0, width / 2, 0, f, height / 2, 0, 0, 1];
  return { map: composed(camera, composed(tilt, composed(turn, print))), width, height };
}

/** A picture of a page, drawn at `pageDpi`, as it is taken; each pixel is the mean of `fine`² places. */
export function takenPicture(page: Gray, pageDpi: number, t: Taken, random: RandomSource, fine = 3): Gray {
  const { map, width, height } = takenMap(page, pageDpi, t);
  const crop = t.crop ?? { left: 0, top: 0, right: width, bottom: height };
  const toMm = inverted(map);
  const perPixel = pageDpi / 25.4;
  const [w, h] = [crop.right - crop.left, crop.bottom - crop.top];
  const values = new Float32Array(w * h);
  const far = Math.hypot(width, height) / 2;
  // The same as `mapped`, without an object for each of some ten million places.
  const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = toMm;
  const row = new Float64Array(w);
  for (let y = 0; y < h; y++) {
    row.fill(0);
    for (let j = 0; j < fine; j++) {
      const py = crop.top + y + (j + 0.5) / fine;
      for (let i = 0; i < fine; i++) {
        for (let x = 0; x < w; x++) {
          const px = crop.left + x + (i + 0.5) / fine;
          const k = perPixel / (m6 * px + m7 * py + m8);
          row[x]! += seenAt(page, (m0 * px + m1 * py + m2) * k, (m3 * px + m4 * py + m5) * k);
        }
      }
    }
    for (let x = 0; x < w; x++) {
      const [dx, dy] = [crop.left + x - width / 2, crop.top + y - height / 2];
      const shade = 1 - (1 - t.light) * (0.5 + (0.5 * (dx + 0.6 * dy)) / far);
      values[y * w + x] = (row[x]! / fine ** 2) * shade;
    }
  }
  const soft = t.blur > 0 ? blurred(values, w, h, t.blur) : values;
  const gray = new Uint8Array(w * h);
  for (let i = 0; i < gray.length; i++) {
    const value = soft[i]! + (t.noise > 0 ? t.noise * random.normal() : 0);
    gray[i] = Math.min(255, Math.max(0, Math.round(value)));
  }
  return t.jpeg === null ? { width: w, height: h, gray } : throughJpeg({ width: w, height: h, gray }, t.jpeg);
}

function seenAt(page: Gray, x: number, y: number): number {
  if (x < 0 || y < 0 || x >= page.width || y >= page.height) return TABLE;
  const px = Math.min(Math.max(x - 0.5, 0), page.width - 1.001);
  const py = Math.min(Math.max(y - 0.5, 0), page.height - 1.001);
  const left = px | 0;
  const top = py | 0;
  const fx = px - left;
  const fy = py - top;
  const at = top * page.width + left;
  const g = page.gray;
  const above = g[at]! * (1 - fx) + g[at + 1]! * fx;
  const below = g[at + page.width]! * (1 - fx) + g[at + page.width + 1]! * fx;
  return INK + ((PAPER - INK) * (above * (1 - fy) + below * fy)) / 255;
}

function blurred(values: Float32Array, width: number, height: number, sd: number): Float32Array {
  const reach = Math.ceil(3 * sd);
  const weights = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sd * sd)));
  const total = weights.reduce((a, b) => a + b, 0);
  const across = new Float32Array(values.length);
  const padded = new Float64Array(width + 2 * reach);
  for (let y = 0; y < height; y++) {
    const start = y * width;
    for (let x = 0; x < padded.length; x++) padded[x] = values[start + Math.min(Math.max(x - reach, 0), width - 1)]!;
    for (let x = 0; x < width; x++) {
      let sum = 0;
      for (let i = 0; i < weights.length; i++) sum += weights[i]! * padded[x + i]!;
      across[start + x] = sum / total;
    }
  }
  const out = new Float32Array(values.length);
  const sums = new Float64Array(width);
  for (let y = 0; y < height; y++) {
    sums.fill(0);
    for (let i = 0; i < weights.length; i++) {
      const start = Math.min(Math.max(y + i - reach, 0), height - 1) * width;
      const weight = weights[i]! / total;
      for (let x = 0; x < width; x++) sums[x]! += weight * across[start + x]!;
    }
    out.set(sums, y * width);
  }
  return out;
}

export function jpegOf({ width, height, gray }: Gray, quality: number): Uint8Array {
  const canvas = createCanvas(width, height);
  const context = canvas.getContext('2d');
  const image = context.createImageData(width, height);
  const pixels = new Uint32Array(image.data.buffer);
  for (let i = 0; i < gray.length; i++) pixels[i] = 0xff000000 | (gray[i]! * 0x010101);
  context.putImageData(image, 0, 0);
  return new Uint8Array(canvas.toBuffer('image/jpeg', quality));
}

function throughJpeg(picture: Gray, quality: number): Gray {
  return readJpeg(jpegOf(picture, quality));
}
