import { beforeAll, expect, test } from 'vitest';
import { readFonts } from '../../../src/files/fonts.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { repetitions } from '../../helpers/repetitions.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { distortedReading, GAUGE, RINGS } from './distorted-scan.ts';
import type { Page } from './distortions.ts';
import { drawnPage } from './drawn-page.ts';

const DPI = 300;
let page: Page;
beforeAll(async () => {
  const pdf = await gaugePdf(exampleInput(exampleGauge(GAUGE, RINGS)), readFonts());
  page = { page: await drawnPage(pdf, { dpi: DPI }), dpi: DPI };
});

test('whatever a picture went through, nothing is read that is off by three times what it says it may be', () => {
  const count = repetitions(3, 24);
  const random = randomSource(20260301);
  const readings = Array.from({ length: count }, () => distortedReading(page, random, [100, 220]));
  const wrong = readings.filter(r => (r.scale?.overDoubt ?? 0) > 3 || r.dots.some(d => !(d.overDoubt <= 3)));
  expect(wrong.map(r => r.words)).toEqual([]);
  // Refusing everything would be no reading: most sheets are found, and those that are give scales of a tenth of a per cent.
  const found = readings.filter(r => r.found);
  expect(found.length).toBeGreaterThanOrEqual(Math.floor(0.85 * count));
  const scales = found.flatMap(r => r.scale?.relative ?? []).sort((a, b) => a - b);
  expect(scales.length).toBeGreaterThanOrEqual(Math.floor(0.5 * count));
  expect(scales[Math.floor(0.9 * scales.length)] ?? 0).toBeLessThan(0.001);
}, 1_200_000);
