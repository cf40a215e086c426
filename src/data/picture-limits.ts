/** A picture of shades of grey: 0 black to 255 white, rows from above. */
export interface GrayPicture {
  readonly width: number;
  readonly height: number;
  readonly gray: Uint8Array;
  /** Pixels in an inch as the file itself says, across and down; null where it does not. */
  readonly density: { readonly x: number; readonly y: number } | null;
}

/** What is wrong with the bytes of a picture, in words that follow the name of the file. */
export class PictureError extends Error {
  override readonly name = 'PictureError';

  constructor(
    readonly code: 'scan-picture' | 'scan-picture-large',
    message: string,
  ) {
    super(message);
  }
}

/** A sheet at 1200 dots per inch has 139 million pixels. */
const MOST_PIXELS = 150e6;
/** Of the pixels as they are unpacked; grey ones fill it at 1200 dpi, coloured ones at 1000. */
const MOST_BYTES = 450e6;
/** The decoder of JPEG needs some 12 bytes for a pixel. */
const MOST_JPEG_PIXELS = 60e6;

/** Throws: PictureError where a picture of that size is not unpacked, or has none. */
export function requireSize(p: { width: number; height: number; bytes: number; kind: 'PNG' | 'JPEG' }): void {
  const { width, height, bytes, kind } = p;
  if (!(width >= 1 && height >= 1)) throw new PictureError('scan-picture', 'has no pixels');
  const most = kind === 'JPEG' ? MOST_JPEG_PIXELS : MOST_PIXELS;
  if (width * height <= most && bytes <= MOST_BYTES) return;
  const size = `${(width * height * 1e-6).toFixed(0)} million pixels`;
  throw new PictureError('scan-picture-large', `is ${width} × ${height}, ${size}: more than is unpacked of a ${kind}`);
}

/** Brightness of red, green and blue, weighed as ITU-R BT.601 does. */
export function brightness(red: number, green: number, blue: number): number {
  return (red * 299 + green * 587 + blue * 114 + 500) / 1000;
}
