import { decode } from 'jpeg-js';
import { exifOrientation, type Orientation, upright } from './exif-orientation.ts';
import { brightness, type GrayPicture, PictureError, requireSize } from './picture-limits.ts';

/** Markers of the frame header: all of SOF but those of tables and of arithmetic coding conditions. */
const isFrame = (marker: number) => marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker);

/**
 * A JPEG as shades of grey, turned as its camera says that it was held: a picture that is stored mirrored comes out as it was seen.
 * Throws: PictureError for a file that is damaged or too large.
 */
export function readJpeg(bytes: Uint8Array): GrayPicture {
  const { width, height, density, orientation } = headerOf(bytes);
  requireSize({ width, height, bytes: width * height * 3, kind: 'JPEG' });
  const { data } = decoded(bytes);
  if (data.length !== width * height * 3) throw broken('its pixels do not fill its size');
  const gray = new Uint8Array(width * height);
  for (let i = 0; i < gray.length; i++) gray[i] = brightness(data[3 * i]!, data[3 * i + 1]!, data[3 * i + 2]!);
  return upright({ width, height, gray, density }, orientation);
}

function decoded(bytes: Uint8Array): { data: Uint8Array } {
  try {
    return decode(bytes, {
      ...{ useTArray: true, formatAsRGBA: false, tolerantDecoding: false },
      // The size was checked from the header.
      ...{ maxResolutionInMP: 100, maxMemoryUsageInMB: 4096 },
    });
  } catch (error) {
    throw broken(error instanceof Error ? error.message : 'it cannot be decoded');
  }
}

interface Header extends Pick<GrayPicture, 'width' | 'height' | 'density'> {
  readonly orientation: Orientation;
}

/** Size, density and orientation by the segments before the first scan. */
function headerOf(bytes: Uint8Array): Header {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let density: GrayPicture['density'] = null;
  let orientation: Orientation = 1;
  for (let at = 2; at + 4 <= bytes.length; ) {
    if (bytes[at] !== 0xff) throw broken('its segments are in disorder');
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    const length = view.getUint16(at + 2);
    const end = at + 2 + length;
    if (length < 2 || end > bytes.length || marker === 0xd9 || marker === 0xda) break;
    if (isFrame(marker) && length >= 8) {
      return { height: view.getUint16(at + 5), width: view.getUint16(at + 7), density, orientation };
    }
    if (marker === 0xe0 && length >= 14 && String.fromCharCode(...bytes.subarray(at + 4, at + 8)) === 'JFIF') {
      density = jfifDensity(bytes[at + 11]!, view.getUint16(at + 12), view.getUint16(at + 14));
    }
    if (marker === 0xe1 && orientation === 1) orientation = exifOrientation(bytes.subarray(at + 4, end));
    at = end;
  }
  throw broken('its header is missing');
}

/** Source: JFIF 1.02, unit 1 for an inch, 2 for a centimetre. */
function jfifDensity(unit: number, x: number, y: number): GrayPicture['density'] {
  const factor = unit === 1 ? 1 : unit === 2 ? 2.54 : 0;
  return factor * x > 0 && factor * y > 0 ? { x: x * factor, y: y * factor } : null;
}

function broken(why: string): PictureError {
  return new PictureError('scan-picture', `is no sound JPEG: ${why}`);
}
