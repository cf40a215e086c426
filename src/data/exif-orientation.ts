import type { GrayPicture } from './picture-limits.ts';

/** How a camera was held, as EXIF numbers it: 1 upright; even numbers up to 4, and 5 and 7, are mirrored. */
export type Orientation = 1 | 2 | 3 | 4 | 5 | 6 | 7 | 8;

const ORIENTATION = 0x0112;
const SHORT = 3;
/** "Exif", two zeros, and the header of TIFF. */
const HEAD = 14;

/**
 * The orientation in an APP1 segment, without its marker and length; 1 where it says none.
 * Source: EXIF 2.3 (CIPA DC-008), 4.5.4 and 4.6.4: a TIFF directory of entries of 12 bytes.
 */
export function exifOrientation(segment: Uint8Array): Orientation {
  const view = new DataView(segment.buffer, segment.byteOffset, segment.byteLength);
  if (segment.length < HEAD || String.fromCharCode(...segment.subarray(0, 6)) !== 'Exif\0\0') return 1;
  const tiff = 6;
  const little = view.getUint16(tiff) === 0x4949;
  const directory = tiff + view.getUint32(tiff + 4, little);
  if (directory + 2 > segment.length) return 1;
  const entries = view.getUint16(directory, little);
  for (let i = 0; i < entries; i++) {
    const at = directory + 2 + 12 * i;
    if (at + 12 > segment.length) return 1;
    if (view.getUint16(at, little) !== ORIENTATION || view.getUint16(at + 2, little) !== SHORT) continue;
    const value = view.getUint16(at + 8, little);
    return value >= 1 && value <= 8 ? (value as Orientation) : 1;
  }
  return 1;
}

/** A picture as it is meant to be looked at. */
export function upright(picture: GrayPicture, orientation: Orientation): GrayPicture {
  if (orientation === 1) return picture;
  const { width, height, gray, density } = picture;
  const turned = orientation >= 5;
  const [w, h] = turned ? [height, width] : [width, height];
  const out = new Uint8Array(gray.length);
  // Where rows and columns of the picture begin in the file: from its right for 2, 3, 7 and 8, from below for 3, 4, 6 and 7.
  const fromRight = [2, 3, 7, 8].includes(orientation);
  const fromBelow = [3, 4, 6, 7].includes(orientation);
  for (let y = 0; y < h; y++) {
    for (let x = 0; x < w; x++) {
      const [c, r] = turned ? [y, x] : [x, y];
      const column = fromRight ? width - 1 - c : c;
      const row = fromBelow ? height - 1 - r : r;
      out[y * w + x] = gray[row * width + column]!;
    }
  }
  const crossed = density !== null && turned ? { x: density.y, y: density.x } : density;
  return { width: w, height: h, gray: out, density: crossed };
}
