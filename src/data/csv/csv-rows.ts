import { CsvError, parse } from 'csv-parse/sync';
import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { type Diagnostic, type Place, placed } from '../../diagnostics/finding.ts';
import { type CellSpan, cellSpans } from './csv-cells.ts';

/** One record of a data file. */
export interface Row {
  readonly cells: readonly string[];
  readonly raw: string;
  /** Line on which the record begins, from 1. */
  readonly line: number;
}

interface RawRecord {
  readonly record: string[];
  readonly raw: string;
}

/** Records of a CSV text, or what keeps it from being one, with its place. */
export function rowsOf(body: string, file: string, delimiter: string): Row[] | Diagnostic {
  try {
    // The types of the package do not know that `raw` changes the shape of a record.
    const records = parse(body, {
      delimiter,
      // Told apart row by row: a log written under one system and continued under another has both kinds.
      record_delimiter: ['\r\n', '\n', '\r'],
      raw: true,
      relax_column_count: true,
      trim: delimiter !== '\t',
    }) as unknown as RawRecord[];
    let line = 1;
    return records.map(({ record, raw }) => {
      const row = { cells: record.map(cell => cell.trim()), raw, line };
      line += lineBreaks(raw);
      return row;
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    return syntaxError(error, body, { file, delimiter });
  }
}

function syntaxError(error: CsvError, body: string, source: { file: string; delimiter: string }): Diagnostic {
  const help = 'put a cell with quotes in quotes, and write each quote inside it twice';
  if (error.code === 'CSV_QUOTE_NOT_CLOSED') {
    const open = lastOpenQuote(body);
    const at = positionAt({ cells: [], raw: body, line: 1 }, open);
    const place = { file: source.file, line: at.line, column: at.column, end_line: at.line, end_column: at.column + 1 };
    return placed(floorFinding('data-syntax', null, 'this quote is not closed', help), place);
  }
  const line = typeof error['lines'] === 'number' ? error['lines'] : 1;
  const raw = body.split(/\r\n|\n|\r/)[line - 1] ?? '';
  const column = typeof error['column'] === 'number' ? error['column'] : 0;
  const message = 'a quote stands inside a cell without being doubled';
  return placed(floorFinding('data-syntax', null, message, help), cellPlace({ cells: [], raw, line }, column, source));
}

/** Offset of the quote that opens the last quoted cell. */
function lastOpenQuote(body: string): number {
  let open = -1;
  let quoted = false;
  for (let i = 0; i < body.length; i++) {
    if (body[i] !== '"') continue;
    quoted = !quoted;
    if (quoted) open = i;
  }
  return Math.max(open, 0);
}

/** The spans of a row are asked for cell by cell. */
const SPANS = new WeakMap<Row, CellSpan[]>();

function spansOf(row: Row, delimiter: string): CellSpan[] {
  const known = SPANS.get(row) ?? cellSpans(row.raw, delimiter);
  SPANS.set(row, known);
  return known;
}

/** Place of a cell, without the blanks around it. */
export function cellPlace(row: Row, column: number, source: { file: string; delimiter: string }): Place {
  const spans = spansOf(row, source.delimiter);
  const span = spans[Math.min(column, spans.length - 1)]!;
  const cell = row.raw.slice(span.start, span.end);
  const lead = cell.length - cell.trimStart().length;
  const start = positionAt(row, cell.trim() === '' ? span.start : span.start + lead);
  const end = positionAt(row, cell.trim() === '' ? span.end : span.start + lead + cell.trim().length);
  return { file: source.file, line: start.line, column: start.column, end_line: end.line, end_column: end.column };
}

function positionAt(row: Row, offset: number): { line: number; column: number } {
  const before = row.raw.slice(0, offset);
  const broken = Math.max(before.lastIndexOf('\n'), before.lastIndexOf('\r'));
  return { line: row.line + lineBreaks(before), column: offset - broken };
}

function lineBreaks(text: string): number {
  return text.match(/\r\n|\n|\r/g)?.length ?? 0;
}

export function lineStart(file: string, line: number): Place {
  return { file, line, column: 1, end_line: line, end_column: 1 };
}
