import type { Paper } from '../../analysis/dot/gauge-grid.ts';
import type { MixResult } from '../../analysis/mix/mix.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import { artifact, blanks, heading, rule, TYPE, text, textBlock } from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { numberText, plain, weighedText } from '../words/number-text.ts';
import { paperSize, type RowSheet, rowPages, rowsOfPage, SHEET_MARGIN, writable } from './row-sheet.ts';

export interface MixSheetInput extends SheetOrigin {
  readonly mix: MixResult;
  readonly paper: Paper;
}

const LEADING = 9; // [mm]
const FIRST_ROW = 92;

/** Bytes of the mixing sheet as a PDF. The same input gives the same bytes. */
export async function mixPdf(input: MixSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(mixSheet(input, textMeasure(fonts)), fonts);
}

/** The mixing sheet as plain data: what to weigh, and a row for every kit with lines for lots, readings, time, cup and initials. */
export function mixSheet(input: MixSheetInput, measure: TextMeasure): SheetDocument {
  const { width } = paperSize(input.paper);
  const place = { paper: input.paper, firstRow: FIRST_ROW, leading: LEADING };
  const perPage = rowsOfPage(place);
  // A sheet has room for further kits of the day: its rows are filled to the foot.
  const kits = Math.max(1, Math.ceil(input.mix.kits / perPage)) * perPage;
  const sheet = { ...place, ...rows(kits, width), head: head(input, width, measure), made: madeText(input) };
  return sheetDocument(input, {
    title: `Mixing: ${plainText(input.name)}`,
    subject: 'Mixing sheet: what to weigh for a kit, with lines to write lots, readings and initials on',
    pages: rowPages(sheet, measure),
  });
}

function head({ mix, name }: MixSheetInput, width: number, measure: TextMeasure): Block[] {
  const inner = width - 2 * SHEET_MARGIN;
  const box = { x: SHEET_MARGIN, width: inner, font: 'regular', size: TYPE.body, leading: 3.8 } as const;
  const half = inner / 2;
  const part = (label: string, grams: number, x: number): Block => ({
    tag: 'P',
    marks: [
      text(x, 40, label, TYPE.label),
      text(x, 49.6, `${weighedText(grams, mix.scale_g)} g`, 24, { font: 'semibold' }),
    ],
  });
  return [
    heading(SHEET_MARGIN, 20.6, 'Mixing', 'H1'),
    textBlock(
      `${name}${mix.resin === null ? '' : ` · ${mix.resin}`}`,
      { ...box, y: 27.6, font: 'medium', size: 11, lines: 1 },
      measure,
    ),
    artifact(rule(SHEET_MARGIN, width - SHEET_MARGIN, 33)),
    part('1. Tare the cup, then base', mix.base_g, SHEET_MARGIN),
    part('2. Tare again, then hardener', mix.hardener_g, SHEET_MARGIN + half),
    textBlock(facts(mix), { ...box, y: 57, lines: 3 }, measure),
    textBlock(
      `If the base comes out otherwise, weigh ${plain(1 / mix.ratio, 4)} g of hardener for every gram of it. Stir ` +
        'walls and bottom in, note the time at which the two met, and fill the syringes at once. A kit outside these ' +
        'figures is not corrected by eye: let it cure in a thin layer, and dispose of it as its safety data sheet says.',
      { ...box, y: 69.4, lines: 3 },
      measure,
    ),
    blanks(
      [
        { label: 'Date', share: 3 },
        { label: 'Scale', share: 3 },
        { label: 'Checked with weight', share: 4 },
        { label: 'Read', share: 2 },
      ],
      { x: SHEET_MARGIN, y: 84, width: inner },
      measure,
    ),
  ];
}

function facts(mix: MixResult): string {
  const { cup } = mix;
  return [
    `A kit is ${numberText(mix.mass_g, 4)} g, ${numberText(mix.ratio, 4)} parts of base to 1 of hardener by mass, within ${plain(mix.tolerance_pct)} %`,
    ...(mix.ratio_error_pct === null
      ? []
      : [`weighed to ± ${plain(mix.scale_g!)} g each it is off by up to ${numberText(mix.ratio_error_pct)} %`]),
    ...(mix.least_mass_g === null ? [] : [`mix at least ${numberText(mix.least_mass_g)} g`]),
    ...(cup === null || cup.largest_mass_g === null ? [] : [`mix at most ${numberText(cup.largest_mass_g)} g`]),
    ...(cup === null
      ? []
      : [`left standing in its cup it reaches ${numberText(cup.peak_C)} °C after ${numberText(cup.peak_min)} min`]),
  ].join('; ');
}

function rows(count: number, width: number): Pick<RowSheet, 'columns' | 'rows'> {
  const widths = [10, 24, 24, 24, 24, 20, 20];
  const rest = width - 2 * SHEET_MARGIN - widths.reduce((a, b) => a + b, 0);
  const titles = ['Kit', 'Base lot', 'Base g', 'Hardener lot', 'Hardener g', 'Mixed at', 'Cup', 'Initials'];
  const columns = titles.map((title, i) => ({ title, width: widths[i] ?? rest }));
  const rows = Array.from({ length: count }, (_, i) =>
    columns.map(({ title, width: wide }, k) => (k === 0 ? String(i + 1) : writable(title, wide))),
  );
  return { columns, rows };
}
