import { describe, expect, test } from 'vitest';
import { mix } from '../../../src/analysis/mix/mix.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { marksOf } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { type MixSheetInput, mixPdf, mixSheet } from '../../../src/report/pdf/mix-sheet.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { collisions, outside } from './layout-check.ts';
import { openPdf, textOf } from './read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);

function input(overrides: Partial<MixSheetInput> = {}, kits = 1): MixSheetInput {
  const recipe = exampleRecipe({
    'resin.mix': { base: 0.1, hardener: 0.01, tolerance: 0.05 },
    'station.scale': 1e-5,
  });
  return {
    mix: mix(recipe, { mass: 5e-3, kits }).result!,
    name: 'Tide-gauge pigtail',
    digest: 'ab'.repeat(32),
    paper: 'a4',
    creator: 'dwellbook 0.0.0',
    created: new Date('2000-01-01T00:00:00Z'),
    ...overrides,
  };
}

describe('the mixing sheet on paper', () => {
  test.each([
    ['a4', 1, 'Tide-gauge pigtail'],
    ['letter', 60, 'Pigtail of the outermost hydrophone of the northern array, with the long strain relief '.repeat(3)],
  ] as const)('%s, %d kits: nothing leaves the paper, no text lies on another', (paper, kits, name) => {
    const sheet = mixSheet(input({ paper, name }, kits), measure);
    expect(sheet.pages.length).toBe(kits === 1 ? 1 : 4);
    for (const page of sheet.pages) {
      expect(outside(page, 10, measure)).toEqual([]);
      expect(collisions(marksOf(page.blocks), measure)).toEqual([]);
    }
  });

  test('says what to weigh in the decimals of the scale, and has room for lots, readings, time, cup and initials', async () => {
    const text = await textOf(await openPdf(await mixPdf(input(), fonts)), 1);
    // 5 g at 10 to 1: 50/11 and 5/11 g.
    for (const words of ['4.55 g', '0.45 g', 'Base lot', 'Hardener lot', 'Mixed at', 'Cup', 'Initials', 'Base g']) {
      expect(text).toContain(words);
    }
    expect(text).toContain('A mixed mass heats itself');
  });
});
