import { describe, expect, test } from 'vitest';
import { type FamilyResult, family } from '../../../src/analysis/family/family.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { marksOf } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { type FamilyCardInput, familyCard, familyPdf } from '../../../src/report/several/family-card.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { collisions, outside } from '../pdf/layout-check.ts';
import { openPdf, textOf } from '../pdf/read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);
const LONG = 'Pigtail of the outermost hydrophone of the northern array, with the long strain relief';

const pair = family([
  { file: 'slim.yaml', recipe: exampleRecipe({ name: 'Slim pigtail' }) },
  { file: 'wide.yaml', recipe: exampleRecipe({ name: 'Wide pigtail', 'connector.cavity[2].diameter': 1.4e-3 }) },
]).result!;

/** The pair over and over: what a card has to lay out. */
function many(count: number, name?: string): FamilyResult {
  const of = <T>(list: readonly T[]) => Array.from({ length: count }, (_, i) => list[i % list.length]!);
  const members = of(pair.members).map(member => (name === undefined ? member : { ...member, name }));
  const stages = members[0]!.program!.stages;
  const staged = members.map((member, i) =>
    i % 3 === 2
      ? { ...member, program: { ...member.program!, stages: [...stages, { ...stages[0]!, from_shot: 31 }] } }
      : member,
  );
  return {
    ...pair,
    members: staged,
    matrix: { ...pair.matrix, dwell_s: of(pair.matrix.dwell_s) },
    gauge: { ...pair.gauge!, marks: of(pair.gauge!.marks) },
  };
}

function input(result: FamilyResult, over: Partial<FamilyCardInput> = {}): FamilyCardInput {
  return {
    family: result,
    ...{ pressure: { name: 'kPa', perKpa: 1 }, length: 'mm' },
    ...{ paper: 'a4', scaleX: 1, scaleY: 1 },
    name: 'Slim pigtail · Wide pigtail',
    digest: 'cd'.repeat(32),
    creator: 'dwellbook 0.0.0',
    created: new Date('2000-01-01T00:00:00Z'),
    ...over,
  };
}

describe('the card of a family on paper', () => {
  test.each([
    ['a4', 2, undefined],
    ['letter', 5, LONG],
    ['a4', 40, LONG],
  ] as const)('%s, %d members: nothing leaves the paper, no text lies on another', (paper, count, name) => {
    const result = { ...many(count, name), ...(name && { needle: '20 regular x 12.7 mm' }) };
    const sheet = familyCard(input(result, { paper, name: name ?? 'Slim · Wide' }), measure);
    if (count === 40) expect(sheet.pages.length).toBeGreaterThan(4);
    else expect(sheet.pages).toHaveLength(2);
    const cells = marksOf(sheet.pages.flatMap(({ blocks }) => blocks));
    // each member stands once in every table of programs, dwells and marks
    if (count === 2)
      expect(cells.filter(mark => mark.kind === 'text' && mark.text === '2 Wide pigtail')).toHaveLength(3);
    for (const page of sheet.pages) {
      expect(outside(page, 10, measure)).toEqual([]);
      expect(collisions(marksOf(page.blocks), measure)).toEqual([]);
    }
  });

  test('reads back with what is shared, each program, the dwell by age, and the scale', async () => {
    const pdf = await openPdf(await familyPdf(input(pair), fonts));
    const card = await textOf(pdf, 1);
    for (const words of [`${pair.pressure_kPa} kPa`, pair.needle, 'Slim pigtail', 'Wide pigtail', 'stop: mix anew']) {
      expect(card).toContain(words);
    }
    for (const { program } of pair.members) expect(card).toContain(String(program!.stages[0]!.first_dwell_s));
    expect(card).toContain('Needles puncture skin.');
    const scale = (await textOf(pdf, 2)).replaceAll('μ', 'µ');
    for (const { volume_uL } of pair.gauge!.rings) expect(scale).toContain(`${volume_uL} µL`);
  });

  test('draws every ring of the scale to size, divided by the scale of the printer', () => {
    const sheet = familyCard(input(pair, { scaleX: 0.99, scaleY: 1.01 }), measure);
    const rings = marksOf(sheet.pages[1]!.blocks).flatMap(mark =>
      mark.kind === 'circle' && mark.fill === undefined ? [[mark.radiusX * 0.99 * 2, mark.radiusY * 1.01 * 2]] : [],
    );
    const drawn = new Set(rings.map(([x, y]) => `${x!.toFixed(6)} ${y!.toFixed(6)}`));
    const wanted = pair.gauge!.rings.map(({ diameter_mm: d }) => `${d.toFixed(6)} ${d.toFixed(6)}`);
    expect([...drawn].sort()).toEqual(wanted.sort());
  });

  test('gives diameters in inch beside mm where the station does, and says that no picture of it is read', async () => {
    const pdf = await openPdf(await familyPdf(input(pair, { length: 'in' }), fonts));
    const scale = await textOf(pdf, 2);
    for (const { min_mm, max_mm } of pair.gauge!.marks) {
      for (const mm of [min_mm, max_mm]) expect(scale).toContain((mm / 25.4).toFixed(3));
    }
    expect(scale).toContain('`scan` reads no picture of this sheet');
    expect(await textOf(await openPdf(await familyPdf(input(pair), fonts)), 2)).not.toContain('Min in');
  });

  test('draws no ring of the scale thinner than a light copy keeps, nor so wide that two run into each other', () => {
    const rings = marksOf(familyCard(input(pair), measure).pages[1]!.blocks).flatMap(mark =>
      mark.kind === 'circle' && mark.fill === undefined ? [mark] : [],
    );
    const radii = [...new Set(rings.map(({ radiusX }) => radiusX))].sort((a, b) => a - b);
    const gap = Math.min(...radii.slice(1).map((r, i) => r - radii[i]!));
    for (const { width } of rings) {
      expect(width).toBeGreaterThanOrEqual(0.2); // light-copy.test.ts
      expect(gap - width).toBeGreaterThanOrEqual(0.1);
    }
  });

  test('has the card alone where there is no gauge', () => {
    const sheet = familyCard(input({ ...pair, gauge: null }), measure);
    expect(sheet.pages).toHaveLength(1);
  });
});
