import { createCanvas } from '@napi-rs/canvas';
import { openPdf } from './read-pdf.ts';

/** Ink of a page, 0 for white to 1 for black, row by row from the top. */
export interface Ink {
  readonly width: number;
  readonly height: number;
  readonly at: Float32Array;
  /** Pixels in a millimetre. */
  readonly scale: number;
}

/** A part of a page as a printer lays it down; places in [mm] from its top left corner. */
export async function printed(
  bytes: Uint8Array,
  part: { readonly x: number; readonly y: number; readonly width: number; readonly height: number },
  { dpi = 450, page = 1 }: { readonly dpi?: number; readonly page?: number } = {},
): Promise<Ink> {
  const scale = dpi / 25.4;
  const pdf = await openPdf(bytes);
  const [width, height] = [Math.round(part.width * scale), Math.round(part.height * scale)];
  const canvas = createCanvas(width, height);
  const offset = { offsetX: -part.x * scale, offsetY: -part.y * scale };
  const sheet = await pdf.getPage(page);
  await sheet.render({
    canvas: canvas as never,
    canvasContext: canvas.getContext('2d') as never,
    viewport: sheet.getViewport({ scale: dpi / 72, ...offset }),
    background: 'white',
  }).promise;
  const { data } = canvas.getContext('2d').getImageData(0, 0, width, height);
  const at = Float32Array.from({ length: width * height }, (_, i) => 1 - data[4 * i]! / 255);
  return { width, height, at, scale };
}

/**
 * The same through the optics of a copier: blurred by a Gaussian of so much [mm]. What is paler than the copier's threshold
 * is gone from the copy.
 */
export function blurred(ink: Ink, sigma: number): Ink {
  const s = sigma * ink.scale;
  const reach = Math.ceil(3 * s);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-(((i - reach) / s) ** 2) / 2));
  const total = weights.reduce((a, b) => a + b, 0);
  const pass = (from: Float32Array, step: number, along: (i: number) => number, count: number) =>
    from.map((_, i) => {
      let sum = 0;
      for (let k = -reach; k <= reach; k++) {
        const place = along(i) + k;
        if (place >= 0 && place < count) sum += weights[k + reach]! * from[i + k * step]!;
      }
      return sum / total;
    });
  const { width, height } = ink;
  const across = pass(ink.at, 1, i => i % width, width);
  return { ...ink, at: pass(across, width, i => Math.floor(i / width), height) };
}

/** Ink at a place [mm] of the part. */
export function inkAt({ at, width, scale }: Ink, x: number, y: number): number {
  return at[Math.floor(y * scale) * width + Math.floor(x * scale)]!;
}
