import { encode } from 'fast-png';
import { zlibSync } from 'fflate';
import { encode as jpeg } from 'jpeg-js';
import { describe, expect, test } from 'vitest';
import { PictureError } from '../../src/data/picture-limits.ts';
import { readPicture } from '../../src/data/read-picture.ts';
import { randomSource } from '../../src/numeric/random.ts';

const shades = Uint8Array.from({ length: 35 }, (_, i) => 7 * i);

/** A chunk of a PNG, whose checksum is computed as ISO/IEC 15948 has it. */
function chunk(type: string, data: Uint8Array): Buffer {
  const body = Buffer.concat([Buffer.from(type, 'latin1'), data]);
  let crc = 0xffffffff;
  for (const byte of body) {
    crc ^= byte;
    for (let k = 0; k < 8; k++) crc = crc & 1 ? (crc >>> 1) ^ 0xedb88320 : crc >>> 1;
  }
  const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  sum.writeUInt32BE((crc ^ 0xffffffff) >>> 0);
  return Buffer.concat([length, body, sum]);
}

function png(p: {
  width: number;
  height: number;
  depth: number;
  colour: number;
  rows: Uint8Array;
  more?: Buffer;
  interlaced?: boolean;
}): Uint8Array {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(p.width, 0);
  head.writeUInt32BE(p.height, 4);
  head.set([p.depth, p.colour, 0, 0, p.interlaced === true ? 1 : 0], 8);
  const parts = [
    chunk('IHDR', head),
    p.more ?? Buffer.alloc(0),
    chunk('IDAT', zlibSync(p.rows)),
    chunk('IEND', new Uint8Array(0)),
  ];
  return new Uint8Array(Buffer.concat([Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'), ...parts]));
}

describe('a PNG', () => {
  test('of any kind gives its shades', () => {
    expect(readPicture(encode({ width: 5, height: 7, data: shades, channels: 1 }))).toEqual({
      width: 5,
      height: 7,
      gray: shades,
      density: null,
    });
    const wide = Uint16Array.from(shades, v => v * 257);
    expect(readPicture(encode({ width: 5, height: 7, data: wide, channels: 1, depth: 16 })).gray).toEqual(shades);
    const colours = Uint8Array.from([255, 0, 0, 0, 255, 0, 0, 0, 255]);
    // ITU-R BT.601: 0.299, 0.587, 0.114
    expect([...readPicture(encode({ width: 3, height: 1, data: colours, channels: 3 })).gray]).toEqual([76, 150, 29]);
    const clear = Uint8Array.from([0, 0, 0, 0, 0, 0, 0, 255]);
    expect([...readPicture(encode({ width: 2, height: 1, data: clear, channels: 4 })).gray]).toEqual([255, 0]);
    // one bit a pixel, ten of them: 1010101010
    const bits = png({ width: 10, height: 1, depth: 1, colour: 0, rows: Uint8Array.of(0, 0xaa, 0x80) });
    expect([...readPicture(bits).gray]).toEqual([255, 0, 255, 0, 255, 0, 255, 0, 255, 0]);
    const palette = chunk('PLTE', Uint8Array.of(0, 0, 0, 200, 200, 200, 255, 255, 255, 9, 9, 9));
    const indexed = png({
      width: 4,
      height: 1,
      depth: 2,
      colour: 3,
      rows: Uint8Array.of(0, 0b00_01_10_11),
      more: palette,
    });
    expect([...readPicture(indexed).gray]).toEqual([0, 200, 255, 9]);
  });

  test('whose rows come in seven passes gives the same as one whose rows do not', () => {
    const [width, height] = [13, 11];
    const gray = Uint8Array.from({ length: width * height }, (_, i) => (37 * i) % 256);
    // ISO/IEC 15948, 8.2: first column and row of each pass, and the steps between its pixels.
    const rows = [
      [0, 0, 8, 8],
      [4, 0, 8, 8],
      [0, 4, 4, 8],
      [2, 0, 4, 4],
      [0, 2, 2, 4],
      [1, 0, 2, 2],
      [0, 1, 1, 2],
    ].flatMap(([left = 0, top = 0, dx = 1, dy = 1]) => {
      const out: number[] = [];
      for (let y = top; y < height; y += dy) {
        out.push(0);
        for (let x = left; x < width; x += dx) out.push(gray[y * width + x]!);
      }
      return out;
    });
    const bytes = png({ width, height, depth: 8, colour: 0, rows: Uint8Array.from(rows), interlaced: true });
    expect(readPicture(bytes).gray).toEqual(gray);
  });

  test('tells its resolution', () => {
    const metre = Buffer.alloc(9);
    metre.writeUInt32BE(11811, 0);
    metre.writeUInt32BE(23622, 4);
    metre[8] = 1;
    const bytes = png({
      width: 1,
      height: 1,
      depth: 8,
      colour: 0,
      rows: Uint8Array.of(0, 9),
      more: chunk('pHYs', metre),
    });
    const { density } = readPicture(bytes);
    expect(density!.x).toBeCloseTo(300, 2);
    expect(density!.y).toBeCloseTo(600, 2);
  });

  test('that is larger than can be, packs more than it says, or unfolds a profile is refused or bounded', () => {
    const huge = png({ width: 100_000, height: 100_000, depth: 8, colour: 0, rows: Uint8Array.of(0) });
    expect(() => readPicture(huge)).toThrow(/10000 million pixels/);
    expect(() => readPicture(huge)).toThrow(expect.objectContaining({ code: 'scan-picture-large' }));
    const bomb = png({ width: 2, height: 2, depth: 8, colour: 0, rows: new Uint8Array(30_000_000) });
    expect(() => readPicture(bomb)).toThrow(/more is packed in it/);
    const profile = chunk(
      'iCCP',
      Buffer.concat([Buffer.from('x\0\0', 'latin1'), zlibSync(new Uint8Array(50_000_000))]),
    );
    const fine = png({ width: 1, height: 1, depth: 8, colour: 0, rows: Uint8Array.of(0, 7), more: profile });
    expect([...readPicture(fine).gray]).toEqual([7]);
  });
});

test('a JPEG gives its shades, and the resolution of its JFIF head', () => {
  const data = new Uint8Array(4 * 64 * 48).fill(255);
  for (let i = 0; i < 64 * 48; i++) data.fill((i % 64) * 3, 4 * i, 4 * i + 3);
  const bytes = new Uint8Array(jpeg({ width: 64, height: 48, data }, 95).data);
  const read = readPicture(bytes);
  expect([read.width, read.height]).toEqual([64, 48]);
  for (const [i, v] of read.gray.entries()) expect(Math.abs(v - (i % 64) * 3)).toBeLessThan(6);
  // bytes 13 to 17: unit (2: centimetre), across, down
  bytes.set([2, 0, 118, 0, 118], 13);
  expect(readPicture(bytes).density!.x).toBeCloseTo(118 * 2.54, 9);
  bytes.set([0, 0, 1, 0, 1], 13);
  expect(readPicture(bytes).density).toBeNull();
});

test('damaged bytes, and what is no picture, end in words', () => {
  const random = randomSource(1);
  const data = new Uint8Array(4 * 32 * 32).fill(90);
  const sound = [
    encode({ width: 5, height: 7, data: shades, channels: 1 }),
    new Uint8Array(jpeg({ width: 32, height: 32, data }, 80).data),
  ];
  const bad: Uint8Array[] = [
    new Uint8Array(0),
    new TextEncoder().encode('recipe: 1\n'),
    Uint8Array.of(0xff, 0xd8, 0xff),
  ];
  for (const bytes of sound) {
    for (let i = 0; i < 120; i++) {
      const cut = bytes.slice(0, Math.floor(bytes.length * random.uniform()));
      const spoiled = bytes.slice();
      for (let k = 0; k < 3; k++) spoiled[Math.floor(spoiled.length * random.uniform())] = random.uint32() & 255;
      bad.push(cut, spoiled);
    }
  }
  for (const bytes of bad) {
    try {
      const { width, height, gray } = readPicture(bytes);
      expect(gray).toHaveLength(width * height);
    } catch (error) {
      expect(error).toBeInstanceOf(PictureError);
    }
  }
});
