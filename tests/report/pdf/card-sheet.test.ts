import { describe, expect, test } from 'vitest';
import { type CardOptions, type CardResult, card } from '../../../src/analysis/card/card.ts';
import { readFonts } from '../../../src/files/fonts.ts';
import { marksOf, type TextMark } from '../../../src/report/page/marks.ts';
import { textMeasure } from '../../../src/report/page/text-measure.ts';
import { type CardSheetInput, cardPdf, cardSheet } from '../../../src/report/pdf/card-sheet.ts';
import { displayUnits } from '../../../src/report/words/display-units.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { LONG_NAME } from './gauge-example.ts';
import { collisions, outside } from './layout-check.ts';
import { openPdf, type PaintedPath, pathsOf, textOf } from './read-pdf.ts';

const fonts = readFonts();
const measure = textMeasure(fonts);

function input(
  overrides: Record<string, unknown> = {},
  options: CardOptions = {},
  name = 'Tide-gauge pigtail',
): CardSheetInput {
  const recipe = exampleRecipe(overrides);
  const made = card(recipe, options).result as CardResult;
  return {
    card: made,
    units: displayUnits({ ...recipe, station: { ...recipe.station!, display: DISPLAY } }),
    name,
    digest: '3fa94c1e'.repeat(8),
    format: 1,
    creator: 'dwellbook 0.1.0',
    created: new Date('2026-11-25T00:00:00Z'),
  };
}

const DISPLAY = { pressure: 'psi', vacuum: 'inHg' };
const INCHES = { ...DISPLAY, length: 'in' } as const;
/** Resin of two parts on a scale: the facts of the shot take a line more. */
const KIT = {
  'resin.mix': { base: 0.1, hardener: 0.01, tolerance: 0.05 },
  'station.scale': 1e-5,
  'station.name': 'Bench at the window',
};
const WIDE = { 'process.tolerance': 0.5 }; // all 73 shots of the example stay on the card

const inInches = { ...exampleRecipe(), station: { ...exampleRecipe().station!, display: INCHES } };

const CARDS: readonly (readonly [string, CardSheetInput])[] = (['a4', 'letter'] as const).flatMap(paper => [
  [`${paper}, as released`, input(WIDE, { paper })] as const,
  [`${paper}, clock times`, input(WIDE, { paper, mixedAt: 36_300 })] as const,
  [`${paper}, inches`, { ...input(WIDE, { paper }), units: displayUnits(inInches) }] as const,
  [`${paper}, a long name`, input({ ...WIDE, 'resin.name': LONG_NAME }, { paper }, LONG_NAME)] as const,
  [`${paper}, a name without spaces`, input(WIDE, { paper }, 'pigtail-'.repeat(60))] as const,
  [`${paper}, computed`, input({ settings: null }, { paper, mixedAt: 0 })] as const,
  [`${paper}, no dot`, input({ ...WIDE, 'resin.dot': null }, { paper })] as const,
  [`${paper}, large dots`, input({ settings: null, 'process.tolerance': 0.02 }, { paper })] as const,
  [
    `${paper}, a step a shot`,
    input({ ...WIDE, 'settings.ramp': [{ from_shot: 1, add: 0.01, every: 1 }] }, { paper, mixedAt: 36_300 }),
  ] as const,
  [`${paper}, a kit to mix`, input({ ...WIDE, ...KIT, 'resin.name': LONG_NAME }, { paper }, LONG_NAME)] as const,
  [`${paper}, no ramp`, input({ ...WIDE, 'settings.ramp': null }, { paper })] as const,
  [`${paper}, out of tolerance`, input({ 'settings.dwell': 1.5 }, { paper })] as const,
  [
    `${paper}, calibrated, by dwell`,
    input(
      {
        ...WIDE,
        'process.bore_shot': 'by_dwell',
        calibration: { viscosity_factor: 1.04, pressure_offset: 2100, dead_time: 0.021 },
      },
      { paper },
    ),
  ] as const,
]);

describe('the layout', () => {
  test.each(CARDS)('stays inside the margins with its texts apart: %s', (_, made) => {
    const { document } = cardSheet(made, measure);
    expect(document.pages).toHaveLength(2);
    for (const page of document.pages) {
      expect(outside(page, 9.5, measure)).toEqual([]);
      expect(collisions(marksOf(page.blocks), measure)).toEqual([]);
    }
  });

  test.each(CARDS)('sets the ramp in 14 pt or more: %s', (_, made) => {
    const { document } = cardSheet(made, measure);
    const texts = marksOf(document.pages[0]!.blocks).filter((m): m is TextMark => m.kind === 'text');
    const shown = made.card.ramp.steps.filter(step => {
      const range = step.from_shot === step.to_shot ? String(step.from_shot) : `${step.from_shot}–${step.to_shot}`;
      return texts.some(t => t.text === range && t.size >= 14);
    });
    const { stepsLeftOut } = cardSheet(made, measure);
    expect(shown).toHaveLength(made.card.ramp.steps.length - stepsLeftOut);
    const dwell = made.card.ramp.steps.at(-1)!.dwell_s.toFixed(made.card.dwell_decimals);
    expect(texts.some(t => t.text === dwell && t.size >= 14)).toBe(true);
  });

  test('leaves no step out where the page holds them, and says how many where it does not', async () => {
    for (const paper of ['a4', 'letter'] as const) {
      expect(cardSheet(input(WIDE, { paper, mixedAt: 36_300 }), measure).stepsLeftOut).toBe(0);
      const every = { ...WIDE, 'settings.ramp': [{ from_shot: 1, add: 0.01, every: 1 }] };
      const { bytes, stepsLeftOut } = await cardPdf(input(every, { paper }), fonts);
      expect(stepsLeftOut).toBeGreaterThan(0);
      const words = await textOf(await openPdf(bytes), 1);
      expect(words).toContain(`${stepsLeftOut} steps do not fit here`);
      expect(words).toContain('From shot 1: first 0.53 s, then 0.01 s more every shot');
      expect(words).toContain('1.25'); // the last of 73: 0.53 + 72·0.01
    }
  });
});

describe('the file read back', () => {
  const lines = (paths: PaintedPath[], width: number, height: number) =>
    paths.filter(p => !p.curved && Math.abs(p.width - width) < 0.01 && Math.abs(p.height - height) < 0.01);

  test.each(['a4', 'letter'] as const)('has rings and bars to scale within 0.01 mm: %s', async paper => {
    const made = input(WIDE, { paper });
    const paths = await pathsOf(await openPdf((await cardPdf(made, fonts)).bytes), 1);
    const rings = paths.filter(p => p.curved);
    const dot = made.card.dot!;
    expect(rings).toHaveLength(3 * dot.circles);
    rings.forEach((ring, i) => {
      const wanted = dot.rings[i % 3]!.diameter_mm;
      expect(Math.abs(ring.width - wanted)).toBeLessThan(0.01);
      expect(Math.abs(ring.height - wanted)).toBeLessThan(0.01);
    });
    for (const length of [100, 4 * 25.4]) {
      expect(lines(paths, length, 0)).toHaveLength(1);
      expect(lines(paths, 0, length)).toHaveLength(1);
    }
  });

  test('says what the station has to know', async () => {
    const { bytes } = await cardPdf(input(WIDE, { mixedAt: 10 * 3600 + 300 }), fonts);
    const words = (await textOf(await openPdf(bytes), 1)).replace(/\s+/g, ' ').normalize('NFKC');
    for (const part of [
      'Setup card',
      'Tide-gauge pigtail',
      'Released settings',
      '30.46 psi', // 210 kPa / 6.894757 kPa
      '210 kPa',
      '0.53 s',
      '22 regular',
      '12.7 mm long',
      '3 shots',
      'inHg',
      'Mixed at 10:05, first shot at 10:17',
      'Stop after shot 73, 60 min after mixing, at 11:05',
      '1–4 0.53 10:17',
      'First-piece check',
      'both bars must measure 100 mm, or 4 in',
      'When a check fails',
      'call the engineer',
      'Released by',
      'Compressed air stores energy',
      'not calibrated',
      'dwellbook 0.1.0 · recipe format 1 · inputs 3fa94c1e3fa94c1e',
    ])
      expect(words).toContain(part);
  });

  test('has on its second page the work in steps, dwells in °C and °F, what dots ask for, and lines for checks', async () => {
    const { bytes } = await cardPdf(input({ ...WIDE, 'process.tolerance': 0.1 }, { mixedAt: 36_300 }), fonts);
    const words = (await textOf(await openPdf(bytes), 2)).replace(/\s+/g, ' ').normalize('NFKC');
    // 23 °C is 73.4 °F; the example's bead is 0.5 mm across.
    for (const part of [
      'The work in steps',
      'Prime',
      'bead on the end face is 0.5 mm',
      '°F',
      '73.4',
      'lay aside',
      'as it is',
      'Checks of this syringe',
      'initials',
      '10:17',
    ])
      expect(words).toContain(part);
  });

  test('says "Trial settings" where values were replaced', async () => {
    const { bytes } = await cardPdf(input(WIDE, { trial: true }), fonts);
    const words = (await textOf(await openPdf(bytes), 1)).replace(/\s+/g, ' ');
    expect(words).toContain('Trial settings');
    expect(words).not.toContain('Released settings');
  });

  test('warns in words where settings are computed or useless', async () => {
    const wordsOf = async (made: CardSheetInput) =>
      (await textOf(await openPdf((await cardPdf(made, fonts)).bytes), 1)).replace(/\s+/g, ' ');
    expect(await wordsOf(input({ settings: null }))).toContain('Computed, not released');
    const useless = await wordsOf(input({ 'settings.dwell': 1.5 }));
    expect(useless).toContain('Do not use');
    expect(useless).not.toContain('Stop sooner');
    expect(await wordsOf(input({ ...WIDE, 'resin.dot': null }))).toContain('Weigh the first piece');
    const calibrated = { ...WIDE, calibration: { viscosity_factor: 1.04, pressure_offset: 0, dead_time: 0 } };
    expect(await wordsOf(input(calibrated))).toContain('calibrated: viscosity factor 1.04');
  });

  test('is black on white, tagged, two pages, and the same to the last byte', async () => {
    const made = input(WIDE, {}, LONG_NAME);
    const { bytes } = await cardPdf(made, fonts);
    expect(Buffer.compare(bytes, (await cardPdf(made, fonts)).bytes)).toBe(0);
    const pdf = await openPdf(bytes);
    expect(pdf.numPages).toBe(2);
    expect(await pdf.getMarkInfo()).toMatchObject({ Marked: true });
    expect(await pdf.getViewerPreferences()).toMatchObject({ PrintScaling: 'None' });
    const file = Buffer.from(bytes).toString('latin1');
    const colours = [...file.matchAll(/([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG|scn|SCN)\b/g)].map(c =>
      c.slice(1).join(' '),
    );
    expect([...new Set(colours)].filter(c => c !== '0 0 0' && c !== '1 1 1')).toEqual([]);
  });
});
