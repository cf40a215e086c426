import type { Paper } from '../../analysis/dot/gauge-grid.ts';
import type { QualifyResult } from '../../analysis/trend/qualify.ts';
import type { Recipe } from '../../recipe/schema/recipe.ts';
import { drawPdf } from '../page/draw-pdf.ts';
import type { Block, Page, SheetDocument } from '../page/marks.ts';
import { plainText } from '../page/set-text.ts';
import { madeText, type SheetOrigin, sheetDocument } from '../page/sheet-origin.ts';
import { artifact, facts, heading, RULE, rule, TYPE, table, text, textBlock } from '../page/sheet-parts.ts';
import { type FontFiles, type TextMeasure, textMeasure } from '../page/text-measure.ts';
import { paperSize, rowPages, SHEET_MARGIN, sheetEnd, writable } from '../pdf/row-sheet.ts';
import { NONE, numberText, settingText } from '../words/number-text.ts';
import { piecesText, rehearsalText, settingsText, studyText, trialsText } from './render-qualify.ts';

export interface QualifyPackInput extends SheetOrigin {
  readonly qualify: QualifyResult;
  readonly recipe: Recipe;
  readonly paper: Paper;
}

/** Bytes of the pack as a PDF. The same input gives the same bytes. */
export async function qualifyPdf(input: QualifyPackInput, fonts: FontFiles): Promise<Uint8Array> {
  return drawPdf(qualifyPack(input, textMeasure(fonts)), fonts);
}

/** The pack as plain data: what is qualified and who signs it, on what it rests, how many pieces a proof takes, and every first piece. */
export function qualifyPack(input: QualifyPackInput, measure: TextMeasure): SheetDocument {
  const rows = pieceRows(input);
  const first: Page = {
    ...paperSize(input.paper),
    blocks: [...head(input, 'Qualification pack', measure), ...body(input, measure)],
  };
  const later = rows.length === 0 ? [] : rowPages(piecesSheet(input, rows, measure), measure);
  const count = 1 + later.length;
  const page = paperSize(input.paper);
  const made = madeText(input);
  const whole: Page = {
    ...first,
    blocks: [...first.blocks, ...sheetEnd({ page, made, at: `Page 1 of ${count}` }, measure)],
  };
  return sheetDocument(input, {
    title: `Qualification pack: ${plainText(input.name)}`,
    subject: 'What the qualification of a recipe rests on, with lines to sign, sample sizes and first pieces',
    pages: [whole, ...later],
  });
}

function head({ name }: QualifyPackInput, title: string, measure: TextMeasure): Block[] {
  const box = { x: SHEET_MARGIN, width: 180, leading: 4.6, font: 'medium', size: 11, lines: 1 } as const;
  return [heading(SHEET_MARGIN, 20.6, title, 'H1'), textBlock(name, { ...box, y: 27.6 }, measure)];
}

const SIGNERS = ['Prepared', 'Process', 'Quality', 'Production'] as const;
const LEADING = 5;

function body(input: QualifyPackInput, measure: TextMeasure): Block[] {
  const { qualify: q, recipe, paper } = input;
  const { width } = paperSize(paper);
  const inner = width - 2 * SHEET_MARGIN;
  const box = { x: SHEET_MARGIN, width: inner, labelWidth: 30, leading: 4.7, lines: 3 } as const;
  const blocks: Block[] = [artifact(rule(SHEET_MARGIN, width - SHEET_MARGIN, 32.4, RULE.strong))];
  const about = facts(
    [
      { label: 'Inputs, SHA-256', value: q.digest },
      { label: 'Resin, needle', value: `${q.resin ?? NONE}, ${q.needle ?? NONE}` },
      { label: 'Settings', value: settingsText(q, recipe) },
      { label: 'Check of the recipe', value: `${q.check.errors} errors, ${q.check.warnings} warnings` },
    ],
    { ...box, y: 38.6 },
    measure,
  );
  blocks.push(about.block);
  let y = about.end + 5;
  const columns = [
    { title: 'Approved by', width: 26 },
    { title: 'Name', width: 58 },
    { title: 'Signature', width: 60 },
    { title: 'Date', width: inner - 144 },
  ];
  blocks.push(heading(SHEET_MARGIN, y, 'Approvals'));
  const rows = SIGNERS.map(role => [role, ...columns.slice(1).map(column => writable(column.title, column.width))]);
  blocks.push(table({ x: SHEET_MARGIN, y: y + 5, leading: 8, columns, rows }, measure));
  y += 5 + SIGNERS.length * 8 + 10;
  blocks.push(heading(SHEET_MARGIN, y, 'What it rests on'));
  const rests = facts(
    [
      { label: 'Gauge study', value: studyText(q) },
      { label: 'Trials and fit', value: trialsText(q) },
      { label: 'Rehearsal', value: rehearsalText(q) },
      { label: 'First pieces', value: piecesText(q) },
    ],
    { ...box, y: y + 5.4 },
    measure,
  );
  blocks.push(rests.block);
  y = rests.end + 5;
  const sizes = sizesTable(q, y, measure);
  blocks.push(heading(SHEET_MARGIN, y, 'Pieces that a proof takes'), sizes, ...openPart(q, { y, inner }, measure));
  return blocks;
}

/** At the left; the one asked for is first. */
function sizesTable(q: QualifyResult, y: number, measure: TextMeasure): Block {
  const columns = [
    { title: 'Confidence %', width: 22 },
    { title: 'Good %', width: 18, align: 'right' as const },
    { title: 'May fail', width: 18, align: 'right' as const },
    { title: 'Pieces', width: 18, align: 'right' as const },
  ];
  const rows = q.sample_sizes.map(size => [
    settingText(size.confidence_pct),
    settingText(size.reliability_pct),
    String(size.allowed),
    size.pieces === null ? NONE : String(size.pieces),
  ]);
  return table({ x: SHEET_MARGIN, y: y + 5, leading: LEADING, columns, rows }, measure);
}

/** Beside the table: what is missing. */
function openPart(q: QualifyResult, { y, inner }: { y: number; inner: number }, measure: TextMeasure): Block[] {
  const x = SHEET_MARGIN + 86;
  const width = inner - 86;
  if (q.open.length === 0) {
    const whole =
      'Nothing is open. The figures count independent pieces: of the shots of one syringe only the first is one.';
    const box = { x, y: y + 5.4, width, leading: 3.6, font: 'regular', size: TYPE.body } as const;
    return [heading(x, y, 'Open'), textBlock(whole, box, measure)];
  }
  let at = y + 5.4;
  const points = q.open.map((what): Block => {
    const box = {
      x: x + 4,
      y: at,
      width: width - 4,
      leading: 3.6,
      font: 'regular',
      size: TYPE.body,
      lines: 2,
    } as const;
    const block = textBlock(what.replaceAll('`', ''), box, measure);
    const marks = [text(x, at, '–', TYPE.body), ...(block.marks ?? [])];
    at += (block.marks?.length ?? 1) * 3.6 + 1.2;
    return { tag: 'P', marks };
  });
  return [heading(x, y, 'Open: not to be signed before'), ...points];
}

function pieceRows({ qualify }: QualifyPackInput): string[][] {
  return (qualify.first_pieces?.rows ?? []).map(row => [
    row.time,
    row.syringe,
    row.lot,
    row.operator,
    numberText(row.mean_uL),
    row.interval_uL === null ? NONE : row.interval_uL.map(v => numberText(v)).join(' to '),
    row.decision,
  ]);
}

function piecesSheet(input: QualifyPackInput, rows: string[][], measure: TextMeasure) {
  const rest = paperSize(input.paper).width - 2 * SHEET_MARGIN - 154;
  const columns = [
    { title: 'Checked at', width: 38 },
    { title: 'Syringe', width: 24 },
    { title: 'Lot', width: 24 },
    { title: 'Operator', width: 20 },
    { title: 'Mean µL', width: 18, align: 'right' as const },
    { title: 'Interval µL', width: 30, align: 'right' as const },
    { title: 'Decision', width: rest },
  ];
  return {
    ...{ paper: input.paper, firstRow: 38, leading: LEADING, columns, rows },
    head: head(input, 'First pieces', measure),
    made: madeText(input),
    pagesBefore: 1,
  };
}
