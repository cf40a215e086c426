import { beforeAll, describe, expect, test } from 'vitest';
import { circleMiddle, gridOf } from '../../../src/analysis/dot/gauge-grid.ts';
import { type ScanDotsResult, type Slide, wholeScan } from '../../../src/analysis/scan/scan-dots.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { PLAIN, type Taken, takenPicture } from './distorted-page.ts';
import { type DrawnDot, withDots } from './drawn-dots.ts';
import { drawnPage, type Gray } from './drawn-page.ts';

const GAUGE = exampleGauge({ circles: 20 }, [5.06, 6.13, 6.94]);
const DPI = 300;
let page: Gray;
beforeAll(async () => {
  page = await drawnPage(await gaugePdf(exampleInput(GAUGE), readFonts()), { dpi: DPI });
});

interface Put extends Partial<DrawnDot> {
  readonly size: number;
  /** From the middle of the circle [mm]. */
  readonly dx?: number;
  readonly dy?: number;
}

/** A dot on a circle of the page, opaque unless said. */
function dotOn(circle: number, { size, dx = 0, dy = 0, ...rest }: Put): DrawnDot {
  const { x, y } = circleMiddle(gridOf('a4', { columns: 5, rows: 4 }), circle - 1);
  return { darkness: 0.6, kind: 'opaque', x: x * 1000 + dx, y: y * 1000 + dy, across: size, down: size, ...rest };
}

function scanned(dots: readonly DrawnDot[], some: Partial<Taken> = {}, slide: Slide | null = null) {
  const picture = takenPicture(withDots(page, DPI, dots), DPI, { ...PLAIN, dpi: 200, ...some }, randomSource(9), 2);
  const { result, findings } = wholeScan({ ...picture, density: null }, { dots: true, slide });
  return { result: (result?.result ?? null) as ScanDotsResult | null, codes: findings.map(f => f.code) };
}

/** Every dot is read, the true diameter lies in its interval, and the interval is narrow for those that print does not hide. */
function expectRead(
  result: ScanDotsResult | null,
  truth: Readonly<Record<number, number>>,
  free: readonly number[],
): void {
  expect(result!.dots.map(d => d.circle)).toEqual(Object.keys(truth).map(Number));
  for (const { circle, low_mm, high_mm } of result!.dots) {
    expect({ circle, inside: low_mm <= truth[circle]! && truth[circle]! <= high_mm }).toEqual({ circle, inside: true });
    if (free.includes(circle)) expect(high_mm - low_mm).toBeLessThan(0.16);
  }
}

test('dots of every size, in the middle and beside it, are read with their doubt; what is no dot is named and left out', () => {
  const sizes = { 2: 4.2, 4: 5.5, 7: 6.13, 9: 6.6, 13: 7.6, 18: 3.1, 20: 6.13 };
  const dx = [0.3, 0.15, 0, -0.15, -0.3, -0.45, 0];
  const dy = [0, 0.2, 0.4, 0, 0.2, 0.4, 0];
  const dots = Object.entries(sizes).map(([c, size], i) => dotOn(Number(c), { size, dx: dx[i]!, dy: dy[i]! }));
  const odd = [
    dotOn(5, { size: 3, dx: -1.3 }),
    dotOn(5, { size: 3, dx: 1.3 }),
    dotOn(10, { size: 14 }),
    dotOn(15, { size: 2.5, dx: -2 }),
    dotOn(15, { size: 2.5, dx: 2 }),
    dotOn(17, { size: 8, across: 8.4, down: 7.4 }),
  ];
  const { result, codes } = scanned([...dots, ...odd], { noise: 4, jpeg: 80, turn: 15 });
  expectRead(result, sizes, [2, 13, 18]);
  expect(result!.refused.map(r => r.circle)).toEqual([5, 10, 15, 17]);
  expect(codes).toEqual(['scan-dot', 'scan-dot', 'scan-dot', 'scan-dot']);
  expect(result!.readings).toMatch(/^(\d\.\d{3}, ){6}\d\.\d{3} mm$/);
  const widest = Math.max(...result!.dots.map(d => (d.high_mm - d.low_mm) / 2));
  expect(result!.reading_error_mm).toBeCloseTo(widest, 12);
});

test('dots are measured against the sheet, however it is tilted, and on a slide they are nearer to the camera', () => {
  const sizes = { 1: 4.3, 10: 7.5, 20: 5.2 };
  const dots = Object.entries(sizes).map(([c, size]) => dotOn(Number(c), { size: size / 0.99, dx: 0.4 }));
  // 1 mm of 100 mm: what lies there looks larger by 1/0.99
  const slide = { thickness: 1e-3, distance: 0.1 };
  const { result } = scanned(dots, { tilt: 15, turn: 200, light: 0.65, noise: 4 }, slide);
  expectRead(result, sizes, []);
});

test('dots that let light through are read in four contrasts, or refused: never wrongly', () => {
  const contrasts = [0.2, 0.35, 0.5, 0.8];
  const dots = (['clear', 'rim', 'cap'] as const).flatMap((kind, row) =>
    contrasts.map((darkness, i) => dotOn(5 * row + i + 1, { size: 5.6, dx: 0.3, kind, darkness })),
  );
  const { result } = scanned(dots, { noise: 2 });
  for (const d of result!.dots) {
    expect(d.low_mm).toBeLessThan(5.6);
    expect(d.high_mm).toBeGreaterThan(5.6);
  }
  const taken = result!.dots.map(d => d.circle);
  expect(taken.filter(c => c <= 4)).toEqual([1, 2, 3, 4]);
  // Those that grow thinner, and paler, towards an edge that print hides have no edge to be told.
  expect(result!.refused.filter(r => r.circle > 10).map(r => r.circle)).toEqual([11, 12, 13, 14]);
});

test.each([150, 300])(
  'dots on and between the rings are read within their doubt, or it is said what would tell: %i dpi',
  dpi => {
    const sizes = [5.06, 5.35, 5.6, 5.85, 6.13, 6.3, 6.55, 6.75, 6.94, 7.2];
    const dots = sizes.map((size, i) => dotOn(i + 1, { size, dx: 0.05, dy: 0.03 }));
    const { result } = scanned(dots, { dpi, noise: 3, blur: 0.5, turn: 3 });
    const missed = result!.dots.filter(d => !(d.low_mm <= sizes[d.circle - 1]! && sizes[d.circle - 1]! <= d.high_mm));
    expect(missed).toEqual([]);
    expect(result!.dots.length).toBeGreaterThanOrEqual(dpi === 300 ? 10 : 6);
    for (const { why } of result!.refused) expect(why).toMatch(/ at 1\d\d pixels to the inch; 300 tell more$/);
  },
);

describe('a page', () => {
  test('without a dot has none, and is told so', () => {
    const { result, codes } = scanned([], { dpi: 120 });
    expect(result).toBeNull();
    expect(codes).toEqual(['scan-no-dot']);
  });

  test('whose circles are all covered is refused', () => {
    const dots = Array.from({ length: 20 }, (_, i) => dotOn(i + 1, { size: 5.5 }));
    const { result, codes } = scanned(dots, { dpi: 120 });
    expect(result).toBeNull();
    expect(codes).toEqual(['scan-no-dot']);
  });
});
