import { cellSpans } from './csv-cells.ts';

/** What stands between two cells of a data file; null in a file of one column. */
export type Separator = ',' | ';' | '\t' | null;

/** How a data file writes its cells. */
export interface Dialect {
  readonly separator: Separator;
  /** The first line only names the separator, as spreadsheets write it. */
  readonly named: boolean;
}

const SEPARATORS = ['\t', ';', ','] as const;
/** So many rows are asked which separator they agree with. */
const ASKED = 20;
const DECIMAL_COMMA = /^[+\-\u2212]?\d*,\d+(?:[eE][+-]?\d+)?$/;

/**
 * The separator, from the header: what stands in it outside quotes and brackets. Where several do, the one by which most rows have as
 * many cells as the header; then tab, semicolon, comma.
 */
export function dialectOf(body: string): Dialect {
  const named = /^\s*sep=([,;\t])[ \t]*\r?(?:\n|$)/i.exec(body);
  if (named !== null) return { separator: named[1] as ',' | ';' | '\t', named: true };
  const [header = '', ...rows] = body.split(/\r\n|\n|\r/).filter(line => line.trim() !== '');
  const bare = header.replace(/"[^"]*"/g, '').replace(/\[[^\]]*\]|\([^)]*\)/g, '');
  const found = SEPARATORS.filter(separator => bare.includes(separator));
  const asked = rows.slice(0, ASKED);
  if (found.length === 0) {
    // One column: a comma in its rows can only be a decimal one, if it looks like one.
    const decimal = asked.length > 0 && asked.every(row => !row.includes(',') || isDecimalComma(row.trim()));
    return { separator: decimal ? null : ',', named: false };
  }
  if (found.length === 1) return { separator: found[0]!, named: false };
  // Without rows to ask, the comma that a CSV has by its name.
  if (asked.length === 0) return { separator: found.at(-1)!, named: false };
  const agreeing = (separator: string): number => {
    const cells = cellSpans(header, separator).length;
    return asked.filter(row => cellSpans(row, separator).length === cells).length;
  };
  const separator = found.reduce((best, next) => (agreeing(next) > agreeing(best) ? next : best));
  return { separator, named: false };
}

/** True for a number with a comma where others have a point. */
export function isDecimalComma(text: string): boolean {
  return DECIMAL_COMMA.test(text);
}
