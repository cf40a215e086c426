import type { Block, BoxMark, LineMark, Mark, TextMark } from './marks.ts';
import { fitText, type ParagraphBox, paragraph } from './set-text.ts';
import type { TextMeasure } from './text-measure.ts';

/**
 * The parts that every sheet of paper is made of: headings, rules, tables, blanks to write on, cautions, foot line.
 * Each takes its place in millimetres and gives one tagged block, so that all sheets look and read alike.
 */

/** Sizes of type [pt] and lines [mm] on all sheets. */
export const TYPE = { title: 19, heading: 9.5, body: 8, label: 7, small: 6.5 } as const;
/** The thinnest still shows on a light copy. */
export const RULE = { strong: 0.4, normal: 0.22, fine: 0.18 } as const;

export function text(
  x: number,
  y: number,
  words: string,
  size: number,
  rest: Partial<Pick<TextMark, 'font' | 'align' | 'angle'>> = {},
): TextMark {
  return { kind: 'text', x, y, text: words, size, font: 'regular', ...rest };
}

export function rule(x1: number, x2: number, y: number, width: number = RULE.normal): LineMark {
  return { kind: 'line', x1, y1: y, x2, y2: y, width };
}

export function artifact(...marks: Mark[]): Block {
  return { tag: 'Artifact', marks };
}

export function heading(x: number, y: number, words: string, tag: 'H1' | 'H2' = 'H2'): Block {
  return { tag, marks: [text(x, y, words, tag === 'H1' ? TYPE.title : TYPE.heading, { font: 'semibold' })] };
}

export function textBlock(words: string, box: ParagraphBox, measure: TextMeasure): Block {
  return { tag: 'P', marks: paragraph(words, box, measure) };
}

export interface Column {
  readonly title: string;
  /** Width [mm]. */
  readonly width: number;
  readonly align?: 'left' | 'right';
}

export interface TableBox {
  readonly x: number;
  /** Baseline of the head row [mm]. */
  readonly y: number;
  /** Baseline to baseline [mm]. */
  readonly leading: number;
  readonly columns: readonly Column[];
  /** Cells; a cell may bring marks of its own (a line sample) instead of text. */
  readonly rows: readonly (readonly (string | TableDrawing)[])[];
  /** Type size of the rows [pt]; default `TYPE.body`. */
  readonly size?: number;
}

/** A drawn cell: marks for its left edge and baseline [mm], and what they show in words. */
export interface TableDrawing {
  readonly alt: string;
  readonly draw: (x: number, baseline: number) => Mark[];
}

/** A table with a head, thin rules and the first column as row heads. Text that is too wide ends in an ellipsis. */
export function table(box: TableBox, measure: TextMeasure): Block {
  const size = box.size ?? TYPE.body;
  const lefts = box.columns.map((_, i) => box.x + sum(box.columns.slice(0, i).map(c => c.width)));
  const right = box.x + sum(box.columns.map(c => c.width));
  const cell = (words: string, i: number, y: number, font: 'regular' | 'medium', pt: number): TextMark => {
    const column = box.columns[i]!;
    const shown = fitText(words, column.width - CELL_GAP, { font, size: pt }, measure);
    const x = column.align === 'right' ? lefts[i]! + column.width - CELL_GAP : lefts[i]!;
    return text(x, y, shown, pt, { font, align: column.align ?? 'left' });
  };
  const head: Block = {
    tag: 'TR',
    blocks: box.columns.map((c, i) => ({
      tag: 'TH' as const,
      scope: 'Column' as const,
      marks: c.title === '' ? [] : [cell(c.title, i, box.y, 'medium', TYPE.label)],
    })),
  };
  const body = box.rows.map((row, r): Block => {
    const y = box.y + (r + 1) * box.leading + TABLE_HEAD_GAP;
    return {
      tag: 'TR',
      blocks: row.map((c, i): Block => {
        if (typeof c !== 'string')
          return { tag: 'TD', blocks: [{ tag: 'Figure', alt: c.alt, marks: c.draw(lefts[i]!, y) }] };
        const first = i === 0;
        const marks = c === '' ? [] : [cell(c, i, y, first ? 'medium' : 'regular', size)];
        return first ? { tag: 'TH', scope: 'Row', marks } : { tag: 'TD', marks };
      }),
    };
  });
  const rules = artifact(
    rule(box.x, right, box.y + 1.6, RULE.normal),
    ...box.rows
      .slice(1)
      .map((_, r) => rule(box.x, right, box.y + (r + 1) * box.leading + TABLE_HEAD_GAP + 1.7, RULE.fine)),
  );
  return { tag: 'Sect', blocks: [{ tag: 'Table', blocks: [head, ...body] }, rules] };
}

const CELL_GAP = 2; // [mm]
const TABLE_HEAD_GAP = 0.4; // [mm]

export interface Fact {
  readonly label: string;
  readonly value: string;
}

export interface FactsBox {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  /** Width of the labels [mm]. */
  readonly labelWidth: number;
  readonly leading: number;
  /** Most lines a value may take; default 1. */
  readonly lines?: number;
  readonly size?: number;
}

/** Label and value in two columns; values wrap, so the block tells where it ends. */
export function facts(list: readonly Fact[], box: FactsBox, measure: TextMeasure): { block: Block; end: number } {
  const size = box.size ?? TYPE.body;
  let y = box.y;
  const items = list.map((fact): Block => {
    const label = fitText(fact.label, box.labelWidth - CELL_GAP, { font: 'regular', size }, measure);
    const value = paragraph(
      fact.value,
      {
        x: box.x + box.labelWidth,
        y,
        width: box.width - box.labelWidth,
        leading: box.leading * 0.85,
        font: 'medium',
        size,
        lines: box.lines ?? 1,
      },
      measure,
    );
    const marks = [text(box.x, y, label, size), ...value];
    y += box.leading + (Math.max(value.length, 1) - 1) * box.leading * 0.85;
    return { tag: 'LI', blocks: [{ tag: 'LBody', marks }] };
  });
  return { block: { tag: 'L', blocks: items }, end: y };
}

export interface Blank {
  readonly label: string;
  /** Share of the row's width. */
  readonly share: number;
}

/** Labelled lines to write on, side by side, the lines on the baseline. */
export function blanks(
  list: readonly Blank[],
  box: { x: number; y: number; width: number },
  measure: TextMeasure,
): Block {
  const total = sum(list.map(b => b.share));
  const gap = 4;
  let x = box.x;
  const labels: TextMark[] = [];
  const lines: LineMark[] = [];
  for (const [i, b] of list.entries()) {
    const width = ((box.width - gap * (list.length - 1)) * b.share) / total;
    labels.push(text(x, box.y, b.label, TYPE.label));
    const start = x + measure(b.label, 'regular', TYPE.label) + 1.5;
    lines.push(rule(start, x + width, box.y + 0.6, RULE.normal));
    x += width + (i < list.length - 1 ? gap : 0);
  }
  return { tag: 'P', marks: [...labels, ...lines] };
}

/** A box to tick with its label at the right; x and baseline y of the box's lower left corner. */
export function tickBox(x: number, y: number, label: string, size = 3.2): { box: BoxMark; label: TextMark } {
  return {
    box: { kind: 'box', x, y: y - size, boxWidth: size, boxHeight: size, width: RULE.normal },
    label: text(x + size + 0.8, y - 0.55, label, TYPE.small),
  };
}

export interface FootBox {
  readonly left: number;
  readonly right: number;
  /** Baseline of the last line of the page [mm]. */
  readonly y: number;
}

/** Last line of a page: what it was made from at the left, page number at the right. */
export function foot(left: string, right: string, box: FootBox, measure: TextMeasure): Block {
  const end = measure(right, 'regular', TYPE.small);
  const shown = fitText(left, box.right - box.left - end - 5, { font: 'regular', size: TYPE.small }, measure);
  return {
    tag: 'P',
    marks: [
      rule(box.left, box.right, box.y - 3.4, RULE.normal),
      text(box.left, box.y, shown, TYPE.small),
      text(box.right, box.y, right, TYPE.small, { align: 'right' }),
    ],
  };
}

function sum(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0);
}
