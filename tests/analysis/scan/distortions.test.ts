import { beforeAll, expect, test } from 'vitest';
import { readFonts } from '../../../src/files/fonts.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { gaugePdf } from '../../../src/report/pdf/gauge-sheet.ts';
import { repetitions } from '../../helpers/repetitions.ts';
import { exampleGauge, exampleInput } from '../../report/pdf/gauge-example.ts';
import { type DistortedReading, distortedReading, GAUGE, RINGS } from './distorted-scan.ts';
import type { Page } from './distortions.ts';
import { drawnPage } from './drawn-page.ts';

const DPI = 300;
let page: Page;
beforeAll(async () => {
  const pdf = await gaugePdf(exampleInput(exampleGauge(GAUGE, RINGS)), readFonts());
  page = { page: await drawnPage(pdf, { dpi: DPI }), dpi: DPI };
});

/** Pictures in a block of their own seed, so that none runs into a limit of time. */
const EACH = repetitions(3, 20);
const BLOCKS = Array.from({ length: repetitions(1, 10) }, (_, i) => 20260301 + i);
const readings: DistortedReading[] = [];

test.each(BLOCKS)(
  'whatever a picture went through, nothing is read that is off by three times its doubt: seed %i',
  seed => {
    const random = randomSource(seed);
    const block = Array.from({ length: EACH }, () => distortedReading(page, random, [100, 220]));
    readings.push(...block);
    const wrong = block.filter(r => (r.scale?.overDoubt ?? 0) > 3 || r.dots.some(d => !(d.overDoubt <= 3)));
    expect(wrong.map(r => r.words)).toEqual([]);
  },
);

// Refusing everything would be no reading.
test('most of those sheets are found, and those that are give scales of a tenth of a per cent', () => {
  const count = EACH * BLOCKS.length;
  const found = readings.filter(r => r.found);
  expect(found.length).toBeGreaterThanOrEqual(Math.floor(0.85 * count));
  const scales = found.flatMap(r => r.scale?.relative ?? []).sort((a, b) => a - b);
  expect(scales.length).toBeGreaterThanOrEqual(Math.floor(0.5 * count));
  expect(scales[Math.floor(0.9 * scales.length)] ?? 0).toBeLessThan(0.001);
});
