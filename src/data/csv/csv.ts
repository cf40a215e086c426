import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { byPosition, type Diagnostic, type Place, placed } from '../../diagnostics/finding.ts';
import { didYouMean } from '../../diagnostics/suggestion.ts';
import { cellPlace, lineStart, type Row, rowsOf } from './csv-rows.ts';
import { dialectOf, isDecimalComma, type Separator } from './dialect.ts';
import { type Head, headIndex, listed, splitHeader } from './heads.ts';

/** A column of a data file. */
export interface DataColumn {
  /** Name without the unit, trimmed; the given one where the call names the column. */
  readonly name: string;
  /** What stands in brackets after the name, or is given with it; or null. */
  readonly unit: string | null;
  /** The head as it stands in the file. */
  readonly head: string;
  /** The call names it: its head need not be of the form `name [unit]`. */
  readonly given: boolean;
  /** Trimmed texts, one a row; '' where a cell is empty. */
  readonly cells: readonly string[];
  /** Place in the file, from 0. */
  readonly index: number;
}

/** A data file as texts, with the place of every cell. */
export interface DataTable {
  readonly file: string;
  readonly separator: Separator;
  /** Numbers have a comma where others have a point. */
  readonly decimalComma: boolean;
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

/** A column that the call names: `mass="Masse mg"`. */
export interface GivenColumn extends Head {
  /** Its head in the file. */
  readonly head: string;
}

/**
 * Table of a CSV text (RFC 4180, with a header): comma, semicolon or tab as the header has it; decimal commas where the separator is not
 * a comma; quotes, a BOM and any line ends are fine, lines that are empty or hold only separators are skipped.
 *
 * What is wrong comes back as diagnostics with file, line and column, all at once; extra columns are kept.
 */
export function readCsv(text: string, file: string, given: readonly GivenColumn[] = []): TableReading {
  const body = text.replace(/^\uFEFF/, '');
  const { separator, named } = dialectOf(body);
  const delimiter = separator ?? ';';
  const parsed = rowsOf(body, file, delimiter);
  if ('code' in parsed) return { table: null, diagnostics: [parsed] };
  const filled = parsed.slice(named ? 1 : 0).filter(row => row.cells.some(cell => cell !== ''));
  const header = filled[0];
  if (header === undefined) {
    const help = 'write a header with the names of the columns, and rows below';
    const empty = floorFinding('data-empty', null, 'the data file is empty', help);
    return { table: null, diagnostics: [placed(empty, lineStart(file, 1))] };
  }
  const diagnostics: Diagnostic[] = [];
  const place = (row: Row, column: number): Place => cellPlace(row, column, { file, delimiter });
  const names = headerOf(header, filled, column => place(header, column), { given, diagnostics });
  const rows = filled.slice(1).filter(row => {
    if (row.cells.length === header.cells.length || extrasAreEmpty(row, header)) return true;
    const counts = `the row has ${row.cells.length} cells, the header ${header.cells.length}`;
    const help = 'check the delimiters, and put texts that contain one in quotes';
    diagnostics.push(placed(floorFinding('data-row-length', null, counts, help), place(row, 0)));
    return false;
  });
  if (filled.length === 1) {
    const none = 'the data file has a header but no rows';
    const empty = floorFinding('data-empty', null, none, 'add a row for every reading');
    diagnostics.push(placed(empty, lineStart(file, header.line)));
  }
  const columns = names.map(name => ({ ...name, cells: rows.map(row => row.cells[name.index] ?? '') }));
  const table: DataTable = {
    file,
    separator,
    decimalComma: separator !== ',' && rows.some(row => row.cells.some(isDecimalComma)),
    columns,
    rows: rows.length,
    place: (row, column) => place(row < 0 ? header : rows[row]!, column),
  };
  return { table, diagnostics: diagnostics.sort(byPosition) };
}

type NamedColumn = Omit<DataColumn, 'cells'>;

function headerOf(
  header: Row,
  filled: readonly Row[],
  place: (column: number) => Place,
  to: { readonly given: readonly GivenColumn[]; readonly diagnostics: Diagnostic[] },
): NamedColumn[] {
  const complain = (
    code: Parameters<typeof floorFinding>[0],
    path: string | null,
    message: string,
    help: string,
    column: number,
  ): void => {
    to.diagnostics.push(placed(floorFinding(code, path, message, help), place(column)));
  };
  const seen = new Map<string, number>();
  const columns = header.cells.flatMap((text, index): NamedColumn[] => {
    const { name, unit } = splitHeader(text);
    if (name === '') {
      // A delimiter at the end of every line makes a column of nothing.
      if (text !== '' || filled.some(row => (row.cells[index] ?? '') !== '')) {
        const help = 'every column needs a name in the header, `name [unit]`';
        complain('data-column-nameless', null, `column ${index + 1} has no name`, help, index);
      }
      return [];
    }
    const before = seen.get(name);
    if (before !== undefined) {
      const message = `the column "${name}" stands twice, as number ${before + 1} and ${index + 1}`;
      complain('data-column-duplicate', name, message, 'rename or remove one of them', index);
      return [];
    }
    seen.set(name, index);
    return [{ name, unit, index, head: text, given: false }];
  });
  for (const { name, unit, head } of to.given) {
    const heads = columns.map(c => c.head);
    const at = headIndex(heads, head);
    const column = columns[at];
    if (column === undefined) {
      const help = didYouMean(head, heads) ?? `the header has ${listed(heads)}`;
      complain('data-column-missing', name, `there is no column "${head}"`, help, 0);
    } else columns[at] = { ...column, name, unit: unit ?? column.unit, given: true };
  }
  return columns;
}

function extrasAreEmpty(row: Row, header: Row): boolean {
  return row.cells.length > header.cells.length && row.cells.slice(header.cells.length).every(cell => cell === '');
}
