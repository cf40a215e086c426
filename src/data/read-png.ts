import { type DecodedPng, decode } from 'fast-png';
import { Unzlib } from 'fflate';
import { brightness, type GrayPicture, PictureError, requireSize } from './picture-limits.ts';

interface Chunk {
  readonly type: string;
  /** Where it begins and ends, length and checksum included. */
  readonly start: number;
  readonly end: number;
  readonly data: Uint8Array;
}

/** What is needed of the picture; profiles and texts, which unfold as well, are not handed on. */
const NEEDED = new Set(['IHDR', 'PLTE', 'tRNS', 'IDAT', 'IEND']);
const SIGNATURE = 8;
const CHANNELS: Readonly<Record<number, number>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };

/**
 * A PNG as shades of grey, over white where it is transparent. Size and length of what is packed are checked before any of it is
 * unpacked for good.
 * Throws: PictureError for a file that is damaged or too large.
 */
export function readPng(bytes: Uint8Array): GrayPicture {
  const chunks = chunksOf(bytes);
  const head = chunks[0];
  if (head?.type !== 'IHDR' || head.data.length !== 13) throw broken('its header is missing');
  const view = new DataView(head.data.buffer, head.data.byteOffset, 13);
  const [width, height, depth, colour] = [view.getUint32(0), view.getUint32(4), view.getUint8(8), view.getUint8(9)];
  const channels = CHANNELS[colour];
  if (channels === undefined) throw broken(`there is no kind of colour ${colour}`);
  const unpacked = height * (1 + Math.ceil((width * channels * depth) / 8));
  requireSize({ width, height, bytes: unpacked, kind: 'PNG' });
  // An interlaced picture has a filter byte for each row of each of seven passes.
  requireUnpackedLength(chunks, view.getUint8(12) === 0 ? unpacked : 2 * unpacked + 16);
  return { width, height, gray: grayOf(decoded(bytes, chunks)), density: densityOf(chunks) };
}

function chunksOf(bytes: Uint8Array): Chunk[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const out: Chunk[] = [];
  for (let at = SIGNATURE; ; ) {
    if (at + 12 > bytes.length) throw broken('it ends in the middle');
    const end = at + 12 + view.getUint32(at);
    if (end > bytes.length) throw broken('it ends in the middle');
    const type = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    out.push({ type, start: at, end, data: bytes.subarray(at + 8, end - 4) });
    if (type === 'IEND') return out;
    at = end;
  }
}

/** Packed data may unfold to a thousand times their length: they are counted first, piece by piece, and never kept. */
function requireUnpackedLength(chunks: readonly Chunk[], most: number): void {
  let length = 0;
  const counter = new Unzlib(piece => {
    length += piece.length;
    if (length > most) throw broken('more is packed in it than its size says');
  });
  try {
    for (const { data } of chunks.filter(({ type }) => type === 'IDAT'))
      for (let at = 0; at < data.length; at += PIECE) counter.push(data.subarray(at, at + PIECE));
  } catch (error) {
    throw error instanceof PictureError ? error : broken('its pixels cannot be unpacked');
  }
}

const PIECE = 65_536; // [bytes]

function decoded(bytes: Uint8Array, chunks: readonly Chunk[]): DecodedPng {
  const kept = chunks.filter(({ type }) => NEEDED.has(type));
  const plain = new Uint8Array(kept.reduce((sum, { start, end }) => sum + end - start, SIGNATURE));
  plain.set(bytes.subarray(0, SIGNATURE));
  let at = SIGNATURE;
  for (const { start, end } of kept) {
    plain.set(bytes.subarray(start, end), at);
    at += end - start;
  }
  try {
    return decode(plain, { checkCrc: true });
  } catch (error) {
    throw broken(error instanceof Error ? error.message : 'it cannot be decoded');
  }
}

function grayOf(png: DecodedPng): Uint8Array {
  const { width, height, depth, channels } = png;
  const out = new Uint8Array(width * height);
  const colours = png.palette?.map(([red = 0, green = 0, blue = 0, alpha = 255]) =>
    overWhite(brightness(red, green, blue), alpha),
  );
  if (depth < 8 || colours !== undefined) {
    const perByte = 8 / Math.min(depth, 8);
    const perRow = Math.ceil(width / perByte);
    const most = 2 ** Math.min(depth, 8) - 1;
    for (let i = 0; i < out.length; i++) {
      const [row, column] = [Math.floor(i / width), i % width];
      const byte = png.data[row * perRow + Math.floor(column / perByte)]!;
      const value = (byte >> (8 - depth * ((column % perByte) + 1))) & most;
      out[i] = colours === undefined ? (value * 255) / most : (colours[value] ?? 0);
    }
    return out;
  }
  const down = depth === 16 ? 257 : 1;
  const { data } = png;
  for (let i = 0; i < out.length; i++) {
    const at = i * channels;
    const value = channels < 3 ? data[at]! : brightness(data[at]!, data[at + 1]!, data[at + 2]!);
    const alpha = channels === 2 || channels === 4 ? data[at + channels - 1]! / down : 255;
    out[i] = overWhite(value / down, alpha);
  }
  return out;
}

function overWhite(value: number, alpha: number): number {
  return alpha === 255 ? value : (value * alpha + 255 * (255 - alpha)) / 255;
}

/** Pixels in an inch, where the file has them for a metre. */
function densityOf(chunks: readonly Chunk[]): GrayPicture['density'] {
  const data = chunks.find(({ type }) => type === 'pHYs')?.data;
  if (data === undefined || data.length !== 9 || data[8] !== 1) return null;
  const view = new DataView(data.buffer, data.byteOffset, 9);
  const [x, y] = [view.getUint32(0) * 0.0254, view.getUint32(4) * 0.0254];
  return x > 0 && y > 0 ? { x, y } : null;
}

function broken(why: string): PictureError {
  return new PictureError('scan-picture', `is no sound PNG: ${why}`);
}
