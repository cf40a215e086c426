import fc from 'fast-check';
import readQR from 'jsqr';
import { describe, expect, test } from 'vitest';
import { qrModules, qrText } from '../../../src/analysis/sheet/qr-code.ts';
import { readSheetCode, type SheetCode, sheetCodeText } from '../../../src/analysis/sheet/sheet-code.ts';
import { CORNER_MARK, codePlace, cornerMarks } from '../../../src/analysis/sheet/sheet-marks.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { exampleGauge, exampleInput, LONG_NAME } from '../../report/pdf/gauge-example.ts';
import { openPdf, pathsOf } from '../../report/pdf/read-pdf.ts';
import { drawnPage, type Gray } from '../scan/drawn-page.ts';

const CODE: SheetCode = {
  ...{ version: '0.1.0', digest: '3fa94c1e3fa94c1e', paper: 'a4', page: 1, pages: 1, scaleX: 1, scaleY: 1 },
  ...{ rings: [6.1, 6.45, 6.8], columns: 5, rows: 4, circles: 20, shots: 2 },
};

/** What another reader of QR codes makes of a picture. */
const otherReader = ({ width, height, gray }: Gray): string | undefined => {
  const rgba = new Uint8ClampedArray(4 * gray.length).fill(255);
  for (const [i, v] of gray.entries()) rgba.fill(v, 4 * i, 4 * i + 3);
  return (readQR as unknown as typeof readQR.default)(rgba, width, height)?.data;
};

describe('the code of a sheet', () => {
  test('comes back as it was written', () => {
    const side = fc.integer({ min: 1, max: 9 });
    const scale = fc.integer({ min: -100_000, max: 100_000 }).map(v => 1 + v / 1e6);
    const diameters = fc.uniqueArray(fc.integer({ min: 300, max: 180_000 }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(
        fc.record({ columns: side, rows: side, scaleX: scale, scaleY: scale, page: fc.integer({ min: 1, max: 4 }) }),
        fc.tuple(diameters, fc.stringMatching(/^[0-9a-f]{16}$/), fc.constantFrom('a4' as const, 'letter' as const)),
        (some, [micro, digest, paper]) => {
          const [min, aim, max] = micro.sort((a, b) => a - b).map(d => d / 1000) as [number, number, number];
          const circles = some.columns * some.rows * 4;
          const code: SheetCode = {
            ...some,
            version: '0.1.0',
            digest,
            paper,
            pages: 4,
            rings: [min, aim, max],
            circles,
            shots: 3,
          };
          expect(readSheetCode(qrText(qrModules(sheetCodeText(code))) ?? '')).toEqual(code);
        },
      ),
      { seed: 3, numRuns: 40 },
    );
  });

  test.each([
    ['a text of something else', 'HTTPS://EXAMPLE.ORG'],
    ['another layout', sheetCodeText(CODE).replace('DWB1', 'DWB2')],
    ['a page that is not', sheetCodeText(CODE).replace('1/1', '3/2')],
    ['no circles', sheetCodeText(CODE).replace('5*4', '0*4')],
    ['rings in disorder', sheetCodeText(CODE).replace('6450', '6850')],
  ])('is refused: %s', (_, text) => {
    expect(readSheetCode(text)).toBeNull();
  });

  test('is read although some of its modules are wrong, and not at all where too many are', () => {
    const modules = qrModules(sheetCodeText(CODE));
    const spoiled = (n: number) =>
      modules.map((row, r) => row.map((black, c) => (r >= 12 && r < 12 + n && c >= 12 && c < 12 + n ? !black : black)));
    expect(qrText(spoiled(4))).toBe(sheetCodeText(CODE));
    expect(qrText(spoiled(12))).toBeNull();
  });
});

describe('on the sheet', () => {
  const fonts = readFonts();

  test('stands where the reading looks for it, and another reader reads it, on both papers', async () => {
    for (const paper of ['a4', 'letter'] as const) {
      const gauge = exampleGauge({ paper, circles: 45, scale_x: 0.994, scale_y: 1.002 });
      const pdf = await gaugePdf(exampleInput(gauge, LONG_NAME), fonts);
      const read = readSheetCode(otherReader(await drawnPage(pdf, { dpi: 200 })) ?? '');
      const rows = paper === 'a4' ? 4 : 3;
      const pages = Math.ceil(45 / (5 * rows));
      expect(read).toEqual({ ...CODE, paper, rows, pages, scaleX: 0.994, scaleY: 1.002, circles: 45 });
      const page = await openPdf(pdf);
      const height = (await page.getPage(1)).view[3]! * (25.4 / 72);
      const paths = await pathsOf(page, 1);
      const wide = paths.filter(p => p.curved && p.width > 4 && Math.abs(p.lineWidth - 1) < 1e-3);
      expect(wide.map(p => [(p.left + p.right) / 2, height - (p.top + p.bottom) / 2].map(v => v.toFixed(2)))).toEqual(
        cornerMarks(paper).map(({ x, y }) => [x.toFixed(2), y.toFixed(2)]),
      );
      // the curve is the middle of the ring's line
      for (const p of wide) expect(p.width).toBeCloseTo((CORNER_MARK.ringInside + CORNER_MARK.ringOutside) / 2, 3);
      const place = codePlace(paper);
      const square = paths.filter(p => Math.abs(p.width - place.side) < 1e-3 && Math.abs(p.height - place.side) < 1e-3);
      expect(square.map(p => [p.left, height - p.top].map(v => v.toFixed(2)))).toEqual([
        [place.x.toFixed(2), place.y.toFixed(2)],
      ]);
    }
  });
});
