import { describe, expect, it } from 'vitest';
import { type BatchOptions, batch } from '../../../src/analysis/batch/batch.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { batchDrawings, restsBetween, usedStretches } from '../../../src/report/chart/batch-chart.ts';
import { stackDrawings } from '../../../src/report/chart/chart-block.ts';
import { svgText } from '../../../src/report/chart/svg.ts';
import { marksOf } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { batchPdf, batchSheet } from '../../../src/report/pdf/batch-sheet.ts';
import { renderBatch } from '../../../src/report/text/render-batch.ts';
import { styleOf } from '../../../src/report/words/style.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { LONG_NAME } from '../pdf/gauge-example.ts';
import { collisions, outside } from '../pdf/layout-check.ts';
import { openPdf, textOf } from '../pdf/read-pdf.ts';

const hour = 3600;
const SHIFTS = [
  { from: 8 * hour, to: 12 * hour },
  { from: 12.5 * hour, to: 16.5 * hour },
];
const fonts = readFonts();
const measure = textMeasure(fonts);

const batchOf = (options: Partial<BatchOptions> = {}) =>
  batch(exampleRecipe(), { connectors: 480, ...options }).result!;
const view = { style: styleOf(0), columns: 80 };

describe('the text of a batch', () => {
  const text = renderBatch(batchOf({ shifts: SHIFTS, scrap: 0.03, kitPrice: 18, currency: 'EUR' }), view);

  it('says what to get ready, when to mix, and what it costs', () => {
    expect(text).toMatch(/connectors +480 good, 495 started/);
    expect(text).toMatch(/kits +7 of 5\.00 mL = 5\.75 g/);
    expect(text).toMatch(/needles +7$/m);
    expect(text).toMatch(/^08:49 +2 +2$/m);
    expect(text).toMatch(/cost +126\.00 EUR \(kits 126\.00\); 0\.2625 EUR a good/); // 126/480
    expect(text).toMatch(/earliest finish +14:12, with 8 kits/);
    expect(text).toContain('Taken for granted');
  });

  it('keeps to the width of the terminal', () => {
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
  });

  it('draws waiting and work in proportion', () => {
    const row = text.split('\n').find(line => line.startsWith('08:00 kit 1, syringe 1'))!;
    const waits = row.split(/[+.]/).length - 1;
    const works = row.split('#').length - 1;
    // 12 min of mixing and waiting to 48 min 40 s of work; a sign is about 6 min wide
    expect(works / waits).toBeGreaterThan(2.5);
    expect(works / waits).toBeLessThan(9);
  });

  it('names the day where there are several', () => {
    const long = renderBatch(batchOf({ connectors: 1500, shifts: SHIFTS }), view);
    expect(long).toMatch(/Day 1: [\s\S]*Day 2: [\s\S]*Day 3: /);
    expect(long).toMatch(/to \d\d:\d\d on day 3/);
  });
});

describe('stretches of work', () => {
  it('leave out the breaks', () => {
    const made = batchOf({ shifts: SHIFTS, connectors: 900, prefer: 'finish' });
    for (const use of made.schedule) {
      const worked = usedStretches(made, use).reduce((sum, s) => sum + s.to - s.from, 0);
      expect(worked).toBeCloseTo((use.connectors * 40) / 60, 9); // one connector every 40 s
    }
    expect(restsBetween(made, { from: 480, to: 990 })).toEqual([{ from: 720, to: 750 }]);
  });
});

describe('the picture of a batch', () => {
  it.each([
    ['one day', { shifts: SHIFTS }],
    ['three days, two stations', { shifts: SHIFTS, connectors: 3000, stations: 2 }],
    ['no breaks', {}],
  ] satisfies [string, Partial<BatchOptions>][])('stays on the paper with its texts apart: %s', async (_, options) => {
    for (const paper of ['a4', 'letter'] as const) {
      const input = { batch: batchOf(options), name: LONG_NAME, digest: 'ab'.repeat(32), creator: 'dwellbook 0.1.0' };
      const sheet = batchSheet({ ...input, created: new Date('2000-01-01T00:00:00Z'), paper }, measure);
      for (const page of sheet.pages) {
        expect(outside(page, 9.5, measure)).toEqual([]);
        const texts = marksOf(page.blocks).filter(m => m.kind === 'text');
        expect(collisions(texts, measure)).toEqual([]);
      }
    }
  });

  it('has a row for every syringe, and is the same to the last byte', async () => {
    const made = batchOf({ shifts: SHIFTS });
    const input = { batch: made, name: 'Tide-gauge pigtail', digest: 'ab'.repeat(32), creator: 'dwellbook 0.1.0' };
    const pdf = () => batchPdf({ ...input, created: new Date('2000-01-01T00:00:00Z') }, fonts);
    expect(Buffer.compare(await pdf(), await pdf())).toBe(0);
    const words = await textOf(await openPdf(await pdf()), 1);
    for (const s of made.schedule) expect(words).toContain(`mix ${s.mixed_at}: kit ${s.kit}, syringe ${s.syringe}`);
    for (const said of ['breaks', 'break', 'mixing', 'mixed, standing', '08:00', '09:00', 'time of day'])
      expect(words).toContain(said);
    expect(words).toContain('7 of 5.00 mL = 5.75 g');
    expect(words).toContain('Compressed air stores energy');
  });

  it('is one SVG of all days', () => {
    const made = batchOf({ connectors: 1500, shifts: SHIFTS });
    const drawings = batchDrawings(made, 'A & B');
    expect(drawings).toHaveLength(3);
    const one = stackDrawings(drawings, 6);
    expect(one.height).toBeCloseTo(drawings.reduce((sum, d) => sum + d.height, 0) + 12, 9);
    const svg = svgText(one);
    expect(svg).toContain('Batch: A &amp; B, 1500 connectors, day 3');
    expect(svg.match(/<svg /g)).toHaveLength(1);
  });
});
