import { encode } from 'fast-png';
import type { Canvas } from './canvas.ts';

/** A PNG of a canvas. Packed by a library and not by Node, whose own differs from version to version. */
export function pngBytes({ width, height, colours }: Canvas): Uint8Array {
  return encode({ width, height, data: colours, channels: 3, depth: 8 });
}
