import PDFDocument from 'pdfkit';
import { expect, it } from 'vitest';
import { readFonts } from '../../../src/files/fonts.ts';
import { drawPdf } from '../../../src/report/page/draw-pdf.ts';
import { setFont } from '../../../src/report/page/kept-shapes.ts';
import type { SheetDocument } from '../../../src/report/page/marks.ts';
import { fontFeatures } from '../../../src/report/page/text-measure.ts';

const TEXTS = ['Aim 1.816 µL', '12.5', '−0.3', 'AVATAR Tyre fi ffl', '12x8 -> 3', 'é é', ''];

it('a text is as wide from a shape that is kept as from pdfkit itself, in every font', () => {
  const fonts = readFonts();
  for (const name of ['regular', 'medium', 'semibold'] as const) {
    const plain = new PDFDocument({ autoFirstPage: false, font: null as unknown as string });
    plain.registerFont('own', Buffer.from(fonts[name]));
    for (const text of [...TEXTS, ...TEXTS]) {
      const kept = new PDFDocument({ autoFirstPage: false, font: null as unknown as string });
      kept.registerFont(name, Buffer.from(fonts[name]));
      const options = { features: fontFeatures(text) };
      const width = setFont(kept, fonts, name, 9).widthOfString(text, options);
      expect(width).toBe(plain.font('own', 9).widthOfString(text, options));
    }
  }
});

it('a document is the same to the byte whether its texts were shaped before or not', async () => {
  const text = (t: string, i: number) =>
    ({ kind: 'text', x: 20, y: 20 + 8 * i, text: t, font: 'regular', size: 9 }) as const;
  const marks = TEXTS.map(text);
  const pages = [{ width: 210, height: 297, blocks: [{ tag: 'P', marks }] }] as unknown as SheetDocument['pages'];
  const sheet: SheetDocument = {
    ...{ pages, title: 'T', subject: 'S', creator: 'C', lang: 'en', created: new Date(0) },
  } as SheetDocument;
  const fonts = readFonts();
  const first = await drawPdf(sheet, fonts);
  expect(Buffer.from(await drawPdf(sheet, fonts)).equals(Buffer.from(first))).toBe(true);
  expect(Buffer.from(await drawPdf(sheet, readFonts())).equals(Buffer.from(first))).toBe(true);
});
