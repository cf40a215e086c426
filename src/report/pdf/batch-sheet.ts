import type { BatchResult } from '../../analysis/batch/batch.ts';
import { PAPER_SIZES, type Paper } from '../../analysis/dot/gauge-grid.ts';
import { batchDrawings } from '../chart/batch-chart.ts';
import { drawingPages } from '../chart/chart-sheet.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import { artifact, type Fact, facts, foot, heading, RULE, rule, TYPE, textBlock } from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { CAUTION_TEXT } from '../words/cautions.ts';
import { numberText } from '../words/number-text.ts';

export interface BatchSheetInput extends SheetOrigin {
  readonly batch: BatchResult;
  /** Default A4. */
  readonly paper?: Paper;
}

/** Bytes of the batch as a PDF. The same input gives the same bytes. */
export async function batchPdf(input: BatchSheetInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(batchSheet(input, textMeasure(fonts)), fonts);
}

const MARGIN = 15; // [mm]
const FOOT = 26; // cautions and last line [mm]

/** What to get ready, then the timeline of each day, as plain data; a drawing that does not fit starts the next page. */
export function batchSheet(input: BatchSheetInput, measure: TextMeasure): SheetDocument {
  const paper = PAPER_SIZES[input.paper ?? 'a4'];
  const size = { width: paper.width * 1000, height: paper.height * 1000 };
  const head = headPart(input, size.width, measure);
  const drawings = batchDrawings(input.batch, input.name, measure);
  const pages = drawingPages(drawings, { first: head.end, last: size.height - FOOT });
  const at = { left: MARGIN, right: size.width - MARGIN, y: size.height - 10.5 };
  const made = madeText(input);
  const small = { x: MARGIN, y: size.height - 24.6, width: at.right - MARGIN, leading: 2.9, font: 'regular' } as const;
  return sheetDocument(input, {
    title: `Batch: ${plainText(input.name)}`,
    subject: 'What a batch needs, and when to mix',
    pages: pages.map((blocks, i) => ({
      ...size,
      blocks: [
        ...(i === 0 ? head.blocks : []),
        ...blocks,
        textBlock(CAUTION_TEXT, { ...small, size: TYPE.small, lines: 4 }, measure),
        foot(made, `Page ${i + 1} of ${pages.length}`, at, measure),
      ],
    })),
  });
}

function headPart(
  { batch, name }: BatchSheetInput,
  width: number,
  measure: TextMeasure,
): { blocks: Block[]; end: number } {
  const right = width - MARGIN;
  const middle = MARGIN + (right - MARGIN) / 2 + 2;
  const column = { width: (right - MARGIN) / 2 - 2, labelWidth: 30, leading: 4.8, lines: 2 };
  const [needs, numbers] = [needFacts(batch), numberFacts(batch)];
  const left = facts(needs, { ...column, x: MARGIN, y: 42 }, measure);
  const other = facts(numbers, { ...column, x: middle, y: 42 }, measure);
  const nameBox = {
    x: MARGIN,
    y: 27.6,
    width: right - MARGIN,
    leading: 4.8,
    font: 'medium',
    size: 11,
    lines: 2,
  } as const;
  const end = Math.max(left.end, other.end);
  return {
    blocks: [
      heading(MARGIN, 20.6, 'Batch', 'H1'),
      textBlock(name, nameBox, measure),
      artifact(rule(MARGIN, right, 35.2, RULE.strong)),
      left.block,
      other.block,
      artifact(rule(MARGIN, right, end - 1.4)),
    ],
    end: end + 3,
  };
}

function needFacts(b: BatchResult): Fact[] {
  const grams = b.kit_g === null ? '' : ` = ${numberText(b.kit_g)} g`;
  return [
    { label: 'Connectors', value: `${b.connectors_started} to start, ${b.connectors} good` },
    { label: 'Kits', value: `${b.kits} of ${numberText(b.kit_mL)} mL${grams}` },
    { label: 'Syringes', value: `${b.syringes}, filled to ${numberText(b.fill_mL)} mL` },
    { label: 'Needles', value: String(b.needles) },
    { label: 'Stations', value: String(b.stations) },
  ];
}

function numberFacts(b: BatchResult): Fact[] {
  const several = Math.max(b.finish_day, b.start_day) > 1;
  const day = (n: number) => (several ? `, day ${n}` : '');
  const { cost } = b;
  return [
    { label: 'First mixing', value: `${b.start}${day(b.start_day)}` },
    { label: 'Finished', value: `${b.finish}${day(b.finish_day)}` },
    { label: 'Resin used', value: `${numberText(b.resin_used_mL)} mL` },
    {
      label: 'Resin wasted',
      value: `${numberText(b.resin_wasted_mL)} mL, ${b.resin_wasted_pct.toFixed(1)} % of what is mixed`,
    },
    ...(cost === null
      ? []
      : [{ label: 'Cost', value: `${cost.total.toFixed(2)}${cost.currency === null ? '' : ` ${cost.currency}`}` }]),
  ];
}
