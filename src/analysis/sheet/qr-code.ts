import encodeQR from 'qr';
import decodeQR from 'qr/decode.js';

/**
 * Modules of the QR code of a text, rows from above, true for black, without the white around them. The least version
 * that holds the text, with error correction M: 15 % of the code may be lost.
 * Source: ISO/IEC 18004, by the package `qr`.
 */
export function qrModules(text: string): boolean[][] {
  const framed = encodeQR(text, 'raw', { ecc: 'medium', encoding: 'alphanumeric', border: 1 });
  return framed.slice(1, -1).map(row => row.slice(1, -1));
}

/** Pixels of a module and modules of white around, as a reader wants them. */
const PIXELS = 4;
const QUIET = 4;

/** The text of modules that were read off a picture; null where they are no QR code, or too many are wrong. */
export function qrText(modules: readonly (readonly boolean[])[]): string | null {
  const side = (modules.length + 2 * QUIET) * PIXELS;
  const data = new Uint8Array(side * side * 4).fill(255);
  for (const [r, row] of modules.entries()) {
    for (const [c, black] of row.entries()) {
      if (!black) continue;
      for (let y = 0; y < PIXELS; y++) {
        const start = ((r + QUIET) * PIXELS + y) * side + (c + QUIET) * PIXELS;
        for (let x = start; x < start + PIXELS; x++) data.fill(0, 4 * x, 4 * x + 3);
      }
    }
  }
  try {
    // Modules are drawn anew, so there is nothing to retry; without a limit of time the answer is always the same.
    return decodeQR({ width: side, height: side, data }, { timeLimit: Number.POSITIVE_INFINITY });
  } catch {
    return null;
  }
}
