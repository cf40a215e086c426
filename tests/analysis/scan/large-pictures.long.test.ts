import { encode } from 'fast-png';
import { beforeAll, expect, test } from 'vitest';
import { scan } from '../../../src/analysis/scan/scan.ts';
import { PictureError } from '../../../src/data/picture-limits.ts';
import { readPicture } from '../../../src/data/read-picture.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { jpegOf } from './distorted-page.ts';
import { drawnPage, type Gray } from './drawn-page.ts';

let page: Gray;
beforeAll(async () => {
  const pdf = await gaugePdf(exampleInput(exampleGauge({ circles: 20 }, [5.06, 6.13, 6.94])), readFonts());
  page = await drawnPage(pdf, { dpi: 300 });
});

/** A page as a scanner of a multiple of its resolution sees it. */
function finer({ width, height, gray }: Gray, times: number): Gray {
  const out = new Uint8Array(width * height * times ** 2);
  for (let y = 0; y < height * times; y++) {
    const row = Math.floor(y / times) * width;
    for (let x = 0; x < width * times; x++) out[y * width * times + x] = gray[row + Math.floor(x / times)]!;
  }
  return { width: width * times, height: height * times, gray: out };
}

/** The most memory that this process ever held [bytes]; the scan of a page at 1200 dpi took some 500 MB. */
const held = () => process.resourceUsage().maxRSS * 1024;

test.each([600, 1200])('a page at %i dpi is read, and takes the memory of its pixels and not much more', dpi => {
  const { width, height, gray } = finer(page, dpi / 300);
  const file = encode({ width, height, data: gray, channels: 1 });
  const before = held();
  const { result, findings } = scan(readPicture(file), { dpi });
  expect(findings).toEqual([]);
  expect(Math.abs(result!.scale_x! - 1)).toBeLessThan(0.0005);
  expect(Math.abs(result!.scale_y! - 1)).toBeLessThan(0.0005);
  expect(result!.pixels_per_mm).toBeCloseTo(dpi / 25.4, 0);
  expect(held() - before).toBeLessThan(4 * width * height + 400e6);
});

test('a picture of 40 megapixels, as telephones take them, is read; one that would take too much memory is refused first', () => {
  const [width, height] = [7300, 5480];
  const gray = new Uint8Array(width * height).fill(120);
  const sheet = finer(page, 2);
  // The sheet lies on its side, a little beyond the edge below.
  for (let y = 0; y < height; y++)
    for (let x = 0; x < sheet.height; x++) {
      const column = sheet.width - 1 - y;
      if (column >= 0) gray[y * width + x + 100] = sheet.gray[x * sheet.width + column]!;
    }
  const { result } = scan(readPicture(jpegOf({ width, height, gray }, 85)), { dpi: 600 });
  expect(result!.corner_marks).toBe(4);
  expect(Math.abs(result!.scale_x! - 1)).toBeLessThan(0.0005);
  const file = jpegOf({ width: 16, height: 16, gray: new Uint8Array(256) }, 85);
  const frame = file.findIndex((byte, i) => byte === 0xff && file[i + 1] === 0xc0);
  file.set([0x27, 0x10, 0x27, 0x10], frame + 5); // 10000 by 10000
  expect(() => readPicture(file)).toThrow(PictureError);
  expect(() => readPicture(file)).toThrow(/100 million pixels/);
});
