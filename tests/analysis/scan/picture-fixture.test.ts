import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { encode } from 'fast-png';
import { expect, test } from 'vitest';
import { circleMiddle, gaugeGrid } from '../../../src/analysis/dot/gauge-grid.ts';
import { scan } from '../../../src/analysis/scan/scan.ts';
import { type ScanDotsResult, wholeScan } from '../../../src/analysis/scan/scan-dots.ts';
import { readPicture } from '../../../src/data/read-picture.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { root } from '../../helpers/pages.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { type DrawnDot, withDots } from './drawn-dots.ts';
import { drawnPage } from './drawn-page.ts';

/** A gauge sheet at 110 dpi, for tests that want one as a file; and the same with three dots on it. */
const FILE = join(root, 'tests', 'fixtures', 'pictures', 'gauge.png');
const DOTS = join(root, 'tests', 'fixtures', 'pictures', 'dots.png');
/** By their circles [mm]. */
const SIZES = { 1: 6, 2: 6.2, 4: 6.1 };

test('the picture of a gauge is of the sheet as it is drawn now; DRAW=1 draws it anew', async () => {
  const gauge = exampleGauge({ circles: 4 }, [8, 10, 12]);
  if (process.env['DRAW'] === '1') {
    const page = await drawnPage(await gaugePdf(exampleInput(gauge), readFonts()), { dpi: 110 });
    const dots = Object.entries(SIZES).map(([circle, size]): DrawnDot => {
      const { x, y } = circleMiddle(gaugeGrid({ paper: 'a4', width: 0.012, height: 0.012 })!, Number(circle) - 1);
      return { x: x * 1000 + 0.2, y: y * 1000, across: size, down: size, darkness: 0.6, kind: 'opaque' };
    });
    for (const [file, { width, height, gray }] of [[FILE, page] as const, [DOTS, withDots(page, 110, dots)] as const]) {
      const few = gray.map(v => Math.round(v / 36) * 36 + 3); // packs into a third
      writeFileSync(file, encode({ width, height, data: few, channels: 1 }));
    }
  }
  const dotted = wholeScan(readPicture(new Uint8Array(readFileSync(DOTS))), { dots: true });
  expect(dotted.findings).toEqual([]);
  const { dots: read } = dotted.result!.result as ScanDotsResult;
  const missed = read.filter(d => Math.abs(d.diameter_mm - SIZES[d.circle as 1]) > (d.high_mm - d.low_mm) / 2);
  expect([read.map(d => d.circle), missed]).toEqual([[1, 2, 4], []]);
  const { result, findings } = scan(readPicture(new Uint8Array(readFileSync(FILE))), { dpi: 110 });
  expect(findings).toEqual([]);
  const rings = result!.rings.map(({ due_mm, measured_mm }) => [due_mm, Math.abs(measured_mm! - due_mm) < 0.06]);
  expect(rings).toEqual([1, 2, 3, 4].flatMap(() => gauge.rings.map(({ diameter_mm }) => [diameter_mm, true])));
});
