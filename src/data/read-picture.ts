import { type GrayPicture, PictureError } from './picture-limits.ts';
import { readJpeg } from './read-jpeg.ts';
import { readPng } from './read-png.ts';

/**
 * A PNG or JPEG as shades of grey, told by its first bytes and not by its name.
 * Throws: PictureError for another file, and for one that is damaged or too large.
 */
export function readPicture(bytes: Uint8Array): GrayPicture {
  if (begins(bytes, [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])) return readPng(bytes);
  if (begins(bytes, [0xff, 0xd8, 0xff])) return readJpeg(bytes);
  throw new PictureError('scan-picture', bytes.length === 0 ? 'is empty' : 'is neither PNG nor JPEG');
}

function begins(bytes: Uint8Array, start: readonly number[]): boolean {
  return start.every((byte, i) => bytes[i] === byte);
}
