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
 * A table of text with one rule under its heads, no wider than the view: words wrap, and where there is no room even so, its rows stand
 * one under the other, a line for each cell. Ends without a line break; an empty body gives the heads alone.
 */
export function tableText(columns: readonly Column[], rows: readonly (readonly string[])[], view: View): string {
  const colWidths = columnWidths(columns, rows, view.columns);
  if (colWidths.reduce((sum, width) => sum + width, 2 * (columns.length - 1)) > view.columns && rows.length > 0)
    return rows.map(row => pairsText(pairsOf(columns, row), view)).join('\n\n');
  const table = new Table({
    head: columns.map(column => view.style.strong(column.head)),
    colAligns: columns.map(column => column.align ?? 'left'),
    colWidths,
    wordWrap: true,
    wrapOnWordBoundary: true,
    chars: BORDERS,
    style: { head: [], border: [], compact: true, 'padding-left': 0, 'padding-right': 0 },
  });
  for (const row of rows) table.push([...row]);
  return withoutTrailingSpace(table.toString());
}

function pairsOf(columns: readonly Column[], row: readonly string[]): Pair[] {
  return columns.map(({ head }, i) => [head, row[i] || null]);
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

/** A column of words gives way down to this width. */
const NARROWEST = 12;

/**
 * Natural widths. Where they exceed the line, heads wrap at their words before any cell does, the column with most to
 * spare first; then columns of words give way, the widest first, down to twelve characters. Numbers never wrap.
 */
function columnWidths(columns: readonly Column[], rows: readonly (readonly string[])[], available: number): number[] {
  const longest = (texts: readonly string[]) => Math.max(0, ...texts.map(text => text.length));
  const cells = columns.map((_, index) => longest(rows.map(row => row[index] ?? '')));
  const least = columns.map(({ head }, index) => Math.max(cells[index]!, longest(head.split(' '))));
  const widths = columns.map(({ head }, index) => Math.max(cells[index]!, head.length));
  const gaps = 2 * (columns.length - 1);
  let excess = widths.reduce((sum, width) => sum + width, 0) + gaps - available;
  const narrow = (room: (index: number) => number) => {
    while (excess > 0) {
      const rooms = widths.map((_, index) => room(index));
      const most = Math.max(...rooms);
      if (most <= 0) return;
      widths[rooms.indexOf(most)]! -= 1;
      excess -= 1;
    }
  };
  narrow(index => widths[index]! - least[index]!);
  narrow(index => (columns[index]!.align === 'right' || widths[index]! <= NARROWEST ? 0 : widths[index]!));
  return widths.map(width => Math.max(1, width));
}

function withoutTrailingSpace(text: string): string {
  return text
    .split('\n')
    .map(line => line.trimEnd())
    .join('\n');
}
