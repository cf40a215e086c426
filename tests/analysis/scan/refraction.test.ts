import { beforeAll, expect, test } from 'vitest';
import { circleMiddle, gridOf } from '../../../src/analysis/dot/gauge-grid.ts';
import { type ScanDotsResult, wholeScan } from '../../../src/analysis/scan/scan-dots.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { shareOf } from '../../helpers/repetitions.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { PLAIN, takenPicture } from './distorted-page.ts';
import { drawnPage, type Gray } from './drawn-page.ts';
import { type RefractingDot, withRefractingDots } from './refracting-dots.ts';

const DPI = 300;
let page: Gray;
beforeAll(async () => {
  page = await drawnPage(await gaugePdf(exampleInput(exampleGauge({ circles: 20 }, [5.06, 6.13, 6.94])), readFonts()), {
    dpi: DPI,
  });
});

/** From as clear as water to ink, five on a row [1/mm]; the last row of the page is left free. */
const ABSORPTIONS = [0, 0.05, 0.15, 0.4, 1.2];
const ROWS = [
  [4.4, 5.6, 6.6],
  [3.6, 6.13, 7.4],
];
const CASES = [0, 1].flatMap(slide => [32, 55].flatMap(angle => ROWS.map(sizes => ({ slide, angle, sizes }))));

test.each(shareOf(CASES, 4, 3))(
  'a dot that bends the light is read within its doubt, or refused: slide $slide mm, angle $angle deg, $sizes mm',
  ({ slide, angle, sizes }) => {
    const dots = sizes.flatMap((diameter, row) =>
      ABSORPTIONS.map((absorption, i): RefractingDot => {
        const { x, y } = circleMiddle(gridOf('a4', { columns: 5, rows: 4 }), 5 * row + i);
        const at = { x: x * 1000 + 0.15, y: y * 1000 + 0.1 };
        return { ...at, diameter, contactAngle: (angle * Math.PI) / 180, absorption, slide };
      }),
    );
    const seen = { ...PLAIN, dpi: 200, noise: 2, blur: 0.4 };
    const picture = takenPicture(withRefractingDots(page, DPI, dots), DPI, seen, randomSource(9), 2);
    const { result } = wholeScan({ ...picture, density: null }, { dots: true });
    const read = (result!.result as ScanDotsResult).dots;
    const wrong = read.filter(({ circle, low_mm, high_mm }) => {
      const { diameter } = dots[circle - 1]!;
      return !(low_mm <= diameter && diameter <= high_mm);
    });
    expect(wrong).toEqual([]);
    // On the paper itself, and clear of its rings, a dot of every contrast is read.
    if (slide === 0 && sizes[0] === 3.6) expect(read.map(d => d.circle).slice(0, 5)).toEqual([1, 2, 3, 4, 5]);
    // On a slide the print under a clear dot is all that is seen of it.
    if (slide === 1) expect(read.map(d => d.circle)).not.toContain(1);
  },
);
