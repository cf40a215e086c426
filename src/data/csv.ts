import { CsvError, parse } from 'csv-parse/sync';
import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, type Place, placed } from '../diagnostics/finding.ts';
import { type CellSpan, cellSpans } from './csv-cells.ts';

/** A column of a data file. */
export interface DataColumn {
  /** Name without the unit, trimmed. */
  readonly name: string;
  /** What stands in square brackets after the name, or null. */
  readonly unit: string | null;
  /** Trimmed texts, one a row; '' where a cell is empty. */
  readonly cells: readonly string[];
  /** Place in the file, from 0. */
  readonly index: number;
}

/** A data file as texts, with the place of every cell. */
export interface DataTable {
  readonly file: string;
  readonly columns: readonly DataColumn[];
  /** Number of rows below the header; rows that are empty throughout do not count. */
  readonly rows: number;
  /** Place of a cell; row −1 is the header. */
  place(row: number, column: number): Place;
}

export interface TableReading {
  /** Null where the file is no table at all; with errors beside it, rows that do not fit the header are left out. */
  readonly table: DataTable | null;
  readonly diagnostics: readonly Diagnostic[];
}

interface Row {
  readonly cells: readonly string[];
  readonly raw: string;
  /** Line on which the record begins, from 1. */
  readonly line: number;
}

/**
 * Table of a CSV text (RFC 4180, with a header): comma, or semicolon or tab where the header has no comma; quotes, a BOM and any
 * line ends are fine, lines that are empty or hold only delimiters are skipped.
 *
 * What is wrong comes back as diagnostics with file, line and column, all at once; extra columns are kept.
 */
export function readCsv(text: string, file: string): TableReading {
  const body = text.replace(/^\uFEFF/, '');
  const delimiter = delimiterOf(body);
  const parsed = rowsOf(body, file, delimiter);
  if ('code' in parsed) return { table: null, diagnostics: [parsed] };
  const filled = parsed.filter(row => row.cells.some(cell => cell !== ''));
  const header = filled[0];
  if (header === undefined) {
    const empty = floorFinding(
      'data-empty',
      null,
      'the data file is empty',
      'write a header with the names of the columns, and rows below',
    );
    return { table: null, diagnostics: [placed(empty, lineStart(file, 1))] };
  }
  const diagnostics: Diagnostic[] = [];
  const place = (row: Row, column: number): Place => cellPlace(row, column, { file, delimiter });
  const names = headerOf(header, filled, column => place(header, column), diagnostics);
  const rows = filled.slice(1).filter(row => {
    if (row.cells.length === header.cells.length || extrasAreEmpty(row, header)) return true;
    const counts = `the row has ${row.cells.length} cells, the header ${header.cells.length}`;
    const help = 'check the delimiters, and put texts that contain one in quotes';
    diagnostics.push(placed(floorFinding('data-row-length', null, counts, help), place(row, 0)));
    return false;
  });
  if (filled.length === 1) {
    const none = floorFinding(
      'data-empty',
      null,
      'the data file has a header but no rows',
      'add a row for every reading',
    );
    diagnostics.push(placed(none, lineStart(file, header.line)));
  }
  const columns = names.map(({ name, unit, index }) => ({
    name,
    unit,
    index,
    cells: rows.map(row => row.cells[index] ?? ''),
  }));
  const table: DataTable = {
    file,
    columns,
    rows: rows.length,
    place: (row, column) => place(row < 0 ? header : rows[row]!, column),
  };
  return { table, diagnostics: diagnostics.sort(byPosition) };
}

/** `name [unit]` taken apart; the unit is null without brackets. */
export function splitHeader(text: string): { name: string; unit: string | null } {
  const match = /^(.*?)\s*\[([^\]]*)\]$/s.exec(text.trim());
  return match === null ? { name: text.trim(), unit: null } : { name: match[1]!.trim(), unit: match[2]!.trim() };
}

function delimiterOf(body: string): string {
  const line = /^\s*([^\r\n]*)/.exec(body)![1]!;
  const bare = line.replace(/"[^"]*"/g, '').replace(/\[[^\]]*\]/g, '');
  if (bare.includes(',')) return ',';
  return bare.includes(';') ? ';' : bare.includes('\t') ? '\t' : ',';
}

interface RawRecord {
  readonly record: string[];
  readonly raw: string;
}

function rowsOf(body: string, file: string, delimiter: string): Row[] | Diagnostic {
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

function headerOf(
  header: Row,
  filled: readonly Row[],
  place: (column: number) => Place,
  diagnostics: Diagnostic[],
): { name: string; unit: string | null; index: number }[] {
  const seen = new Map<string, number>();
  return header.cells.flatMap((text, index) => {
    const { name, unit } = splitHeader(text);
    if (name === '') {
      // A delimiter at the end of every line makes a column of nothing.
      if (text !== '' || filled.some(row => (row.cells[index] ?? '') !== '')) {
        const help = 'every column needs a name in the header, `name [unit]`';
        diagnostics.push(
          placed(floorFinding('data-column-nameless', null, `column ${index + 1} has no name`, help), place(index)),
        );
      }
      return [];
    }
    const before = seen.get(name);
    if (before !== undefined) {
      const message = `the column "${name}" stands twice, as number ${before + 1} and ${index + 1}`;
      diagnostics.push(
        placed(floorFinding('data-column-duplicate', name, message, 'rename or remove one of them'), place(index)),
      );
      return [];
    }
    seen.set(name, index);
    return [{ name, unit, index }];
  });
}

function extrasAreEmpty(row: Row, header: Row): boolean {
  return row.cells.length > header.cells.length && row.cells.slice(header.cells.length).every(cell => cell === '');
}

/** The spans of a row are asked for cell by cell. */
const SPANS = new WeakMap<Row, CellSpan[]>();

function spansOf(row: Row, delimiter: string): CellSpan[] {
  const known = SPANS.get(row) ?? cellSpans(row.raw, delimiter);
  SPANS.set(row, known);
  return known;
}

function cellPlace(row: Row, column: number, source: { file: string; delimiter: string }): Place {
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

function lineStart(file: string, line: number): Place {
  return { file, line, column: 1, end_line: line, end_column: 1 };
}
