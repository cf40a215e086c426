import { describe, expect, test } from 'vitest';
import { trials } from '../../../src/analysis/trials/trials.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { marksOf } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { type TrialsSheetInput, trialsPdf, trialsSheet } from '../../../src/report/pdf/trials-sheet.ts';
import { displayUnits } from '../../../src/report/words/display-units.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { collisions, outside } from './layout-check.ts';
import { openPdf, textOf } from './read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);

function input(overrides: Partial<TrialsSheetInput> = {}, replicates = 2): TrialsSheetInput {
  const recipe = exampleRecipe({ 'needle.bore': 0.41e-3 });
  return {
    trials: trials(recipe, { replicates, ages: [900, 2400] }).result!,
    name: 'Tide-gauge pigtail',
    digest: 'ab'.repeat(32),
    pressure: displayUnits(recipe).pressure,
    paper: 'a4',
    creator: 'dwellbook 0.0.0',
    created: new Date('2000-01-01T00:00:00Z'),
    ...overrides,
  };
}

describe('the run sheet on paper', () => {
  test.each([
    ['a4', 2, 'Tide-gauge pigtail'],
    ['letter', 7, 'Pigtail of the outermost hydrophone of the northern array, with the long strain relief '.repeat(3)],
  ] as const)('%s, %d replicates: nothing leaves the paper, no text lies on another', (paper, replicates, name) => {
    const sheet = trialsSheet(input({ paper, name }, replicates), measure);
    expect(sheet.pages.length).toBeGreaterThan(1);
    for (const page of sheet.pages) {
      expect(outside(page, 10, measure)).toEqual([]);
      expect(collisions(marksOf(page.blocks), measure)).toEqual([]);
    }
  });

  test('has every run once, in its order, in the unit of the station', async () => {
    const psi = displayUnits(exampleRecipe({ 'station.display': { pressure: 'psi' } })).pressure;
    const own = input({ pressure: psi });
    const pdf = await openPdf(await trialsPdf(own, fonts));
    const words: string[] = [];
    for (let page = 1; page <= pdf.numPages; page++) words.push(await textOf(pdf, page));
    const text = words.join('\n');
    expect(text).toContain('Pressure psi');
    const sheet = trialsSheet(own, measure);
    const numbers = sheet.pages
      .flatMap(page => marksOf(page.blocks))
      .flatMap(m =>
        m.kind === 'text' && m.font === 'medium' && m.x === 15 && /^\d+$/.test(m.text) ? [Number(m.text)] : [],
      );
    expect(numbers).toEqual(own.trials.runs.map(r => r.run));
    const first = own.trials.runs[0]!;
    expect(text).toContain(String(Number((first.pressure_kPa / 6.894757293168361).toPrecision(4))));
  });
});
