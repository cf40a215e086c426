import { describe, expect, test } from 'vitest';
import { readFonts } from '../../../src/files/fonts.ts';
import { drawPdf } from '../../../src/report/page/draw-pdf.ts';
import { type Block, type CircleMark, type Mark, marksOf, type SheetDocument } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { gaugeSheet } from '../../../src/report/pdf/gauge-sheet.ts';
import { blurred, type Ink, inkAt, printed } from './copied-page.ts';
import { exampleGauge, exampleInput } from './gauge-example.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);
/** Optics of a copier [mm]; no source. Weaker or stronger blur moves lines and small print alike. */
const BLUR = 0.1;

const sheetWith = (diameters: number[]) => gaugeSheet(exampleInput(exampleGauge({ circles: 1 }, diameters)), measure);

/** The sheet with every ring drawn as thin as so much [mm]. */
function thinned(sheet: SheetDocument, width: number): SheetDocument {
  const block = (b: Block): Block => ({
    ...b,
    ...(b.marks && { marks: b.marks.map(m => (isRing(m) ? { ...m, width } : m)) }),
    ...(b.blocks && { blocks: b.blocks.map(block) }),
  });
  return { ...sheet, pages: sheet.pages.map(page => ({ ...page, blocks: page.blocks.map(block) })) };
}

/** Rings are the only thin circles; those of the corner marks are a millimetre wide, or filled. */
const isRing = (m: Mark): m is CircleMark => m.kind === 'circle' && m.width > 0 && m.width < 0.6;

const ringsOf = (sheet: SheetDocument) => marksOf(sheet.pages[0]!.blocks).filter(isRing);

/** How pale the copy is at which half of the small print, the cautions at the foot, is gone. */
async function paleness(bytes: Uint8Array): Promise<number> {
  const print = await printed(bytes, { x: 15, y: 297 - 28, width: 40, height: 9 });
  const copy = blurred(print, BLUR);
  const kept = [...copy.at].filter((_, i) => print.at[i]! > 0.5).sort((a, b) => a - b);
  expect(kept.length).toBeGreaterThan(5_000); // there is print where it is looked for
  return kept[kept.length >> 1]!;
}

/** What of a ring's line is darker than that on the copy, as a share of what was printed; a ring is about the middle. */
function keptShare(ring: CircleMark, { print, copy, middle }: Copied, pale: number): number {
  const places = Array.from({ length: 3600 }, (_, i) => (i * Math.PI) / 1800).map(
    a => [middle + ring.radiusX * Math.cos(a), middle + ring.radiusY * Math.sin(a)] as const,
  );
  const drawn = places.filter(([x, y]) => inkAt(print, x, y) > 0.5);
  expect(drawn.length).toBeGreaterThan(1_000);
  return drawn.filter(([x, y]) => inkAt(copy, x, y) > pale).length / drawn.length;
}

interface Copied {
  readonly print: Ink;
  readonly copy: Ink;
  readonly middle: number; // [mm]
}

async function copied(sheet: SheetDocument): Promise<Copied & { bytes: Uint8Array }> {
  const bytes = await drawPdf(sheet, fonts);
  const { x, y, radiusX } = ringsOf(sheet).at(-1)!;
  const middle = radiusX + 1;
  const print = await printed(bytes, { x: x - middle, y: y - middle, width: 2 * middle, height: 2 * middle });
  return { bytes, print, copy: blurred(print, BLUR), middle };
}

describe('rings on a light copy', () => {
  let pale: number | undefined; // the foot of all these sheets is the same

  test.each([
    ['far apart', [5.06, 6.12, 6.94]],
    ['close', [7.46, 8.27, 8.98]],
    ['closer, taking turns', [6.1, 6.45, 6.8]],
    ['small, taking turns', [2.4, 2.8, 3.2]],
  ])(
    'outlast the small print: %s',
    async (_, diameters) => {
      const sheet = sheetWith(diameters);
      const page = await copied(sheet);
      pale ??= await paleness(page.bytes);
      const kept = ringsOf(sheet).map(ring => keptShare(ring, page, pale!));
      for (const share of kept) expect(share).toBeGreaterThan(0.6); // dashes lose their ends, and stay dashes
    },
    20_000,
  );

  test('would not, drawn as thin as 0.1 mm', async () => {
    const sheet = thinned(sheetWith([5.06, 6.12, 6.94]), 0.1);
    const page = await copied(sheet);
    pale ??= await paleness(page.bytes);
    for (const ring of ringsOf(sheet)) expect(keptShare(ring, page, pale!)).toBe(0);
  }, 20_000);

  test('stay apart where full rings are drawn: there is white between them', async () => {
    const sheet = sheetWith([7.4, 8.14, 8.9]);
    const { copy, middle } = await copied(sheet);
    const [min, aim, max] = ringsOf(sheet).map(ring => ring.radiusX) as [number, number, number];
    for (const [inner, outer] of [
      [min, aim],
      [aim, max],
    ]) {
      for (let a = 0; a < 360; a++) {
        const across = Array.from({ length: 40 }, (_, i) => inner! + ((outer! - inner!) * i) / 40);
        const inks = across.map(r => inkAt(copy, middle + r * Math.cos(a), middle + r * Math.sin(a)));
        expect(Math.min(...inks)).toBeLessThan(0.5);
      }
    }
  }, 20_000);
});
