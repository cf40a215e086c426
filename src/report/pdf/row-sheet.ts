import { PAPER_SIZES, type Paper } from '../../analysis/dot/gauge-grid.ts';
import type { Block, Mark, Page } from '../page/marks.ts';
import {
  artifact,
  type Column,
  foot,
  RULE,
  rule,
  type TableDrawing,
  TYPE,
  table,
  textBlock,
} from '../page/sheet-parts.ts';
import type { TextMeasure } from '../page/text-measure.ts';
import { CAUTION_TEXT } from '../words/cautions.ts';

/** Pages of rows to write on: a head, as many rows as a page holds, the cautions, and a last line that says what it was made from. */

/** Left and right of every such page [mm]. */
export const SHEET_MARGIN = 15;
/** Cautions and last line [mm]. */
const END = 36;

export interface RowSheet {
  readonly paper: Paper;
  /** Baseline of the head row, and from row to row [mm]. */
  readonly firstRow: number;
  readonly leading: number;
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly (string | TableDrawing)[])[];
  /** Stands on every page. */
  readonly head: readonly Block[];
  /** Left of the last line. */
  readonly made: string;
  /** Pages of the document that stand before these; default none. */
  readonly pagesBefore?: number;
}

/** Size of a sheet [mm]. */
export function paperSize(paper: Paper): { width: number; height: number } {
  const { width, height } = PAPER_SIZES[paper];
  return { width: width * 1000, height: height * 1000 };
}

/** Rows that a page holds. */
export function rowsOfPage({ paper, firstRow, leading }: Pick<RowSheet, 'paper' | 'firstRow' | 'leading'>): number {
  return Math.max(1, Math.floor((paperSize(paper).height - firstRow - END) / leading));
}

/** The pages; one at least. */
export function rowPages(sheet: RowSheet, measure: TextMeasure): Page[] {
  const page = paperSize(sheet.paper);
  const perPage = rowsOfPage(sheet);
  const count = Math.max(1, Math.ceil(sheet.rows.length / perPage));
  const before = sheet.pagesBefore ?? 0;
  return Array.from({ length: count }, (_, i): Page => {
    const rows = sheet.rows.slice(i * perPage, (i + 1) * perPage);
    const box = { x: SHEET_MARGIN, y: sheet.firstRow, leading: sheet.leading, columns: sheet.columns, rows };
    return {
      ...page,
      blocks: [
        ...sheet.head,
        table(box, measure),
        ...sheetEnd({ page, made: sheet.made, at: `Page ${before + i + 1} of ${before + count}` }, measure),
      ],
    };
  });
}

/** Cautions, and the last line of a page. */
export function sheetEnd(
  p: { page: { width: number; height: number }; made: string; at: string },
  measure: TextMeasure,
): Block[] {
  const { width, height } = p.page;
  const right = width - SHEET_MARGIN;
  const small = {
    x: SHEET_MARGIN,
    width: right - SHEET_MARGIN,
    leading: 2.9,
    font: 'regular',
    size: TYPE.small,
  } as const;
  return [
    artifact(rule(SHEET_MARGIN, right, height - 30, RULE.normal)),
    textBlock(CAUTION_TEXT, { ...small, y: height - 25.6 }, measure),
    foot(p.made, p.at, { left: SHEET_MARGIN, right, y: height - 10.5 }, measure),
  ];
}

/** A cell with a line to write on. */
export function writable(what: string, width: number): TableDrawing {
  return {
    alt: `${what}, to be written`,
    draw: (x, baseline): Mark[] => [rule(x + 1, x + width - 2, baseline + 0.6, RULE.normal)],
  };
}
