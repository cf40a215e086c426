import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { scan } from '../../src/analysis/scan/scan.ts';
import type { GrayPicture } from '../../src/data/picture-limits.ts';
import { readPicture } from '../../src/data/read-picture.ts';
import { jpegOf } from '../analysis/scan/distorted-page.ts';
import { root } from '../helpers/pages.ts';

/** Where the first row and the first column of the file lie in the picture as it is seen (EXIF 2.3, CIPA DC-008, 4.6.4 A). */
const ORIENTATIONS = [
  ['top', 'left'],
  ['top', 'right'],
  ['bottom', 'right'],
  ['bottom', 'left'],
  ['left', 'top'],
  ['right', 'top'],
  ['right', 'bottom'],
  ['left', 'bottom'],
] as const;
type Side = (typeof ORIENTATIONS)[number][number];

/** What a camera stores that was held so: each line of the file runs along a side of the picture as it is seen. */
function stored({ width, height, gray }: GrayPicture, [row, column]: readonly [Side, Side]): GrayPicture {
  const upright = row === 'top' || row === 'bottom';
  const [w, h] = upright ? [width, height] : [height, width];
  const along = (side: Side, i: number) => ({ top: i, left: i, bottom: height - 1 - i, right: width - 1 - i })[side];
  const out = new Uint8Array(gray.length);
  for (let r = 0; r < h; r++) {
    for (let c = 0; c < w; c++) {
      const [y, x] = upright ? [along(row, r), along(column, c)] : [along(column, c), along(row, r)];
      out[r * w + c] = gray[y * width + x]!;
    }
  }
  return { width: w, height: h, gray: out, density: null };
}

/** An APP1 segment with an orientation behind another entry, in either order of bytes. */
function withExif(jpeg: Uint8Array, orientation: number, little: boolean): Uint8Array {
  const body = new DataView(new ArrayBuffer(6 + 8 + 2 + 2 * 12 + 4));
  for (const [i, letter] of [...'Exif'].entries()) body.setUint8(i, letter.charCodeAt(0));
  body.setUint16(6, little ? 0x4949 : 0x4d4d);
  body.setUint16(8, 42, little);
  body.setUint32(10, 8, little);
  body.setUint16(14, 2, little);
  for (const [i, [tag, value]] of [
    [0x0100, 9],
    [0x0112, orientation],
  ].entries()) {
    body.setUint16(16 + 12 * i, tag!, little);
    body.setUint16(18 + 12 * i, 3, little);
    body.setUint32(20 + 12 * i, 1, little);
    body.setUint16(24 + 12 * i, value!, little);
  }
  const head = Uint8Array.of(0xff, 0xe1, 0, body.byteLength + 2);
  return Uint8Array.from([...jpeg.subarray(0, 2), ...head, ...new Uint8Array(body.buffer), ...jpeg.subarray(2)]);
}

test('a picture comes out as it was seen, however the camera was held', () => {
  // Shades that no turn and no mirror maps on themselves.
  const [width, height] = [48, 32];
  const gray = Uint8Array.from({ length: width * height }, (_, i) => 3 * (i % width) + 2 * Math.floor(i / width));
  for (const [i, sides] of ORIENTATIONS.entries()) {
    const file = jpegOf(stored({ width, height, gray, density: null }, sides), 95);
    for (const little of [true, false]) {
      const read = readPicture(withExif(file, i + 1, little));
      expect([read.width, read.height]).toEqual([width, height]);
      expect(read.gray.every((v, k) => Math.abs(v - gray[k]!) < 6)).toBe(true);
    }
  }
});

test('a sheet that a camera stored mirrored is read as it was seen; one that is mirrored and does not say so is refused', () => {
  const page = readPicture(new Uint8Array(readFileSync(join(root, 'tests', 'fixtures', 'pictures', 'gauge.png'))));
  for (const i of [4, 6]) {
    const file = jpegOf(stored(page, ORIENTATIONS[i]!), 90);
    const { result, findings } = scan(readPicture(withExif(file, i + 1, false)), { dpi: 110 });
    expect(findings).toEqual([]);
    expect(Math.abs(result!.scale_x! - 1)).toBeLessThan(0.001);
    expect(Math.abs(((result!.turn_deg + 180) % 360) - 180)).toBeLessThan(0.1);
    const unsaid = scan(readPicture(file), { dpi: 110 });
    expect([unsaid.result, unsaid.findings.map(f => f.code)]).toEqual([null, ['scan-no-sheet']]);
  }
  // Turned by a quarter without saying so, it is read at any turn.
  const turned = scan(readPicture(jpegOf(stored(page, ORIENTATIONS[5]!), 90)), { dpi: 110 });
  expect(turned.result!.turn_deg).toBeCloseTo(270, 0);
});

test('an APP1 segment that is cut, or points beyond its end, says nothing', () => {
  const [width, height] = [16, 8];
  const file = withExif(jpegOf({ width, height, gray: new Uint8Array(width * height) }, 90), 6, false);
  for (const at of [12, 13, 14, 15, 16, 17, 20, 21, 30, 31, 32, 33]) {
    for (const value of [0xff, 0x80, 0]) {
      const spoiled = file.slice();
      spoiled[at] = value;
      const read = readPicture(spoiled);
      expect([width * height, read.width * read.height]).toEqual([read.gray.length, width * height]);
    }
  }
});
