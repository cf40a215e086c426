import type { Outline } from '../../analysis/scan/outlines.ts';
import { type Colour, canvasOf, drawClosed } from './canvas.ts';
import { pngBytes } from './png-bytes.ts';

/** Told apart by people who do not see red and green as others do, too. */
const COLOURS: Readonly<Record<Outline['of'], Colour>> = {
  mark: [0, 90, 200],
  ring: [0, 150, 190],
  dot: [225, 80, 0],
};

/** A PNG of the picture with what was found in it drawn over it. The same picture gives the same bytes. */
export function scanOverlay(
  picture: { width: number; height: number; gray: Uint8Array },
  outlines: readonly Outline[],
): Uint8Array {
  const canvas = canvasOf(picture);
  for (const { of, points } of outlines) drawClosed(canvas, points, COLOURS[of]);
  return pngBytes(canvas);
}
