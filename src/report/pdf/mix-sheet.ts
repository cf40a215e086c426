import { PAPER_SIZES, type Paper } from '../../analysis/dot/gauge-grid.ts';
import type { MixResult } from '../../analysis/mix/mix.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, Mark, Page, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import {
  artifact,
  blanks,
  foot,
  heading,
  RULE,
  rule,
  type TableDrawing,
  TYPE,
  table,
  text,
  textBlock,
} from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { CAUTION_TEXT } from '../words/cautions.ts';
import { numberText, plain, weighedText } from '../words/number-text.ts';

export interface MixSheetInput extends SheetOrigin {
  readonly mix: MixResult;
  readonly paper: Paper;
}

const MARGIN = 15; // [mm]
const LEADING = 9;
const FIRST_ROW = 92;
const END = 38; // kept free at the foot

/** Bytes of the mixing sheet as a PDF. The same input gives the same bytes. */
export async function mixPdf(input: MixSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(mixSheet(input, textMeasure(fonts)), fonts);
}

/** The mixing sheet as plain data: what to weigh, and a row for every kit with lines for lots, readings, time, cup and initials. */
export function mixSheet(input: MixSheetInput, measure: TextMeasure): SheetDocument {
  const { width, height } = PAPER_SIZES[input.paper];
  const page = { width: width * 1000, height: height * 1000 };
  const perPage = Math.floor((page.height - FIRST_ROW - END) / LEADING);
  const count = Math.max(1, Math.ceil(input.mix.kits / perPage));
  // A sheet has room for further kits of the day: its rows are filled to the foot.
  const pages = Array.from(
    { length: count },
    (_, i): Page => ({
      ...page,
      blocks: [
        ...head(input, page.width, measure),
        rows(i * perPage, perPage, page.width, measure),
        ...end(input, page, [i + 1, count], measure),
      ],
    }),
  );
  return sheetDocument(input, {
    title: `Mixing: ${plainText(input.name)}`,
    subject: 'Mixing sheet: what to weigh for a kit, with lines to write lots, readings and initials on',
    pages,
  });
}

function head({ mix, name }: MixSheetInput, width: number, measure: TextMeasure): Block[] {
  const inner = width - 2 * MARGIN;
  const box = { x: MARGIN, width: inner, font: 'regular', size: TYPE.body, leading: 3.8 } as const;
  const half = inner / 2;
  const part = (label: string, grams: number, x: number): Block => ({
    tag: 'P',
    marks: [
      text(x, 40, label, TYPE.label),
      text(x, 49.6, `${weighedText(grams, mix.scale_g)} g`, 24, { font: 'semibold' }),
    ],
  });
  return [
    heading(MARGIN, 20.6, 'Mixing', 'H1'),
    textBlock(
      `${name}${mix.resin === null ? '' : ` · ${mix.resin}`}`,
      { ...box, y: 27.6, font: 'medium', size: 11, lines: 1 },
      measure,
    ),
    artifact(rule(MARGIN, width - MARGIN, 33)),
    part('1. Tare the cup, then base', mix.base_g, MARGIN),
    part('2. Tare again, then hardener', mix.hardener_g, MARGIN + half),
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
      { x: MARGIN, y: 84, width: inner },
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

function rows(from: number, count: number, width: number, measure: TextMeasure): Block {
  const widths = [10, 24, 24, 24, 24, 20, 20];
  const rest = width - 2 * MARGIN - widths.reduce((a, b) => a + b, 0);
  const titles = ['Kit', 'Base lot', 'Base g', 'Hardener lot', 'Hardener g', 'Mixed at', 'Cup', 'Initials'];
  const columns = titles.map((title, i) => ({ title, width: widths[i] ?? rest }));
  const body = Array.from({ length: count }, (_, i) =>
    columns.map(({ title, width: wide }, k) => (k === 0 ? String(from + i + 1) : blank(title, wide))),
  );
  return table({ x: MARGIN, y: FIRST_ROW, leading: LEADING, columns, rows: body }, measure);
}

function blank(what: string, width: number): TableDrawing {
  return {
    alt: `${what}, to be written`,
    draw: (x, baseline): Mark[] => [rule(x + 1, x + width - 2, baseline + 0.6, RULE.normal)],
  };
}

function end(
  input: MixSheetInput,
  page: { width: number; height: number },
  [number, count]: readonly [number, number],
  measure: TextMeasure,
): Block[] {
  const right = page.width - MARGIN;
  const small = { x: MARGIN, width: right - MARGIN, leading: 2.9, font: 'regular', size: TYPE.small } as const;
  return [
    artifact(rule(MARGIN, right, page.height - 30, RULE.normal)),
    textBlock(CAUTION_TEXT, { ...small, y: page.height - 25.6 }, measure),
    foot(madeText(input), `Page ${number} of ${count}`, { left: MARGIN, right, y: page.height - 10.5 }, measure),
  ];
}
