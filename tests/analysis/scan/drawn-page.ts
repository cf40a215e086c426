import { createCanvas } from '@napi-rs/canvas';
import { getDocument } from 'pdfjs-dist/legacy/build/pdf.mjs';

/** A picture in shades of grey, 0 black to 255 white. */
export interface Gray {
  readonly width: number;
  readonly height: number;
  readonly gray: Uint8Array;
}

/** A page of a PDF as a printer of so many dots per inch lays it down, smooth at its edges. */
export async function drawnPage(pdf: Uint8Array, { page = 1, dpi }: { page?: number; dpi: number }): Promise<Gray> {
  const document = await getDocument({ data: new Uint8Array(pdf), verbosity: 0, disableFontFace: true }).promise;
  const sheet = await document.getPage(page);
  const viewport = sheet.getViewport({ scale: dpi / 72 });
  const [width, height] = [Math.round(viewport.width), Math.round(viewport.height)];
  const canvas = createCanvas(width, height);
  // The types are a browser's; the canvas is none, but draws like one.
  type Rendering = Parameters<typeof sheet.render>[0];
  await sheet.render({ canvas, canvasContext: canvas.getContext('2d'), viewport } as unknown as Rendering).promise;
  const { data } = canvas.getContext('2d').getImageData(0, 0, width, height);
  const gray = new Uint8Array(width * height);
  for (let i = 0; i < gray.length; i++) gray[i] = data[4 * i]!;
  await document.destroy();
  return { width, height, gray };
}
