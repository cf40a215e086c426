import { describe, expect, test } from 'vitest';
import { type FirstPiece, type QualifyInput, qualify } from '../../../src/analysis/trend/qualify.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { marksOf } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { qualifyPack } from '../../../src/report/several/qualify-pack.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { collisions, outside } from '../pdf/layout-check.ts';

const measure = textMeasure(readFonts());
const LONG = 'Pigtail of the outermost hydrophone of the northern array, with the long strain relief '.repeat(3);

function checks(count: number): FirstPiece[] {
  return Array.from({ length: count }, (_, i) => ({
    ...{
      line: i + 2,
      time: '2026-03-02T06:40:00Z',
      syringe: `S-${i}-of-the-second-shift`,
      lot: 'L-0412',
      operator: 'AB',
    },
    ...{ mean: 1.9e-9, low: 1.8e-9, high: 2e-9, decision: i % 9 === 8 ? 'reject' : 'use with trim' },
  }));
}

describe('the qualification pack on paper', () => {
  test.each([
    ['a4', 0],
    ['letter', 130],
  ] as const)('%s, %d first pieces: nothing leaves the paper, no text lies on another', (paper, count) => {
    const recipe = exampleRecipe({ name: LONG });
    const input: QualifyInput = {
      ...{ digest: 'ab'.repeat(32), study: null, trials: null, checks: count === 0 ? null : checks(count) },
      check: { errors: 2, warnings: 1 },
    };
    const made = qualify(recipe, input, { samples: 10, reliability: 0.99 }).result!;
    const origin = { name: LONG, digest: input.digest, creator: 'dwellbook 0.0.0', created: new Date(0) };
    const sheet = qualifyPack({ ...origin, qualify: made, recipe, paper }, measure);
    expect(sheet.pages.length).toBe(count === 0 ? 1 : 5);
    for (const page of sheet.pages) {
      expect(outside(page, 10, measure)).toEqual([]);
      expect(collisions(marksOf(page.blocks), measure)).toEqual([]);
    }
  });
});
