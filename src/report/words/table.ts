import Table from 'cli-table3';
import { paragraph } from './paragraph.ts';
import type { View } from './view.ts';

export interface Column {
  readonly head: string;
  /** Numbers stand on the right, words on the left (default). */
  readonly align?: 'left' | 'right';
}

const BORDERS = {
  top: '',
  'top-mid': '',
  'top-left': '',
  'top-right': '',
  bottom: '',
  'bottom-mid': '',
  'bottom-left': '',
  'bottom-right': '',
  left: '',
  'left-mid': '',
  right: '',
  'right-mid': '',
  mid: '─',
  'mid-mid': '──',
  middle: '  ',
};

/**
 * A table of text with one rule under its heads, no wider than the view where its words can be wrapped. Ends without a
 * line break; an empty body gives the heads alone.
 */
export function tableText(columns: readonly Column[], rows: readonly (readonly string[])[], view: View): string {
  const table = new Table({
    head: columns.map(column => view.style.strong(column.head)),
    colAligns: columns.map(column => column.align ?? 'left'),
    colWidths: columnWidths(columns, rows, view.columns),
    wordWrap: true,
    wrapOnWordBoundary: true,
    chars: BORDERS,
    style: { head: [], border: [], compact: true, 'padding-left': 0, 'padding-right': 0 },
  });
  for (const row of rows) table.push([...row]);
  return withoutTrailingSpace(table.toString());
}

/** A label with its value; null where it does not apply. */
export type Pair = readonly [string, string | null];

/** Label and value, one pair a line, long values broken at words; a row whose value is null is left out. */
export function pairsText(pairs: readonly Pair[], view: View): string {
  const shown = pairs.filter((pair): pair is readonly [string, string] => pair[1] !== null);
  const width = Math.max(0, ...shown.map(([label]) => label.length)) + 2;
  const indent = ' '.repeat(width);
  return shown
    .map(([label, value]) => label.padEnd(width) + paragraph(value, view.columns, indent).slice(width))
    .join('\n');
}

/** Natural widths; when they exceed the line, the widest column gives way first, down to twelve characters. */
function columnWidths(
  columns: readonly Column[],
  rows: readonly (readonly string[])[],
  available: number,
): (number | null)[] {
  const widths = columns.map((column, index) =>
    Math.max(column.head.length, ...rows.map(row => (row[index] ?? '').length)),
  );
  const gaps = 2 * (columns.length - 1);
  let excess = widths.reduce((sum, width) => sum + width, 0) + gaps - available;
  while (excess > 0) {
    const widest = widths.indexOf(Math.max(...widths));
    if ((widths[widest] ?? 0) <= 12) break;
    widths[widest] = (widths[widest] ?? 0) - 1;
    excess -= 1;
  }
  return widths.map(width => Math.max(1, width));
}

function withoutTrailingSpace(text: string): string {
  return text
    .split('\n')
    .map(line => line.trimEnd())
    .join('\n');
}
