/** Where a cell of a record begins and ends in its text; offsets in UTF-16 units, the quotes included. */
export interface CellSpan {
  readonly start: number;
  readonly end: number;
}

/**
 * Spans of the cells of one record, for messages: the same split as the reader's, with quotes and doubled quotes honoured.
 * The line break at the end of the record, if there is one, belongs to no cell.
 */
export function cellSpans(record: string, delimiter: string): CellSpan[] {
  const spans: CellSpan[] = [];
  let start = 0;
  let quoted = false;
  const end = record.replace(/\r?\n$|\r$/, '').length;
  for (let i = 0; i < end; i++) {
    const c = record[i];
    if (c === '"')
      quoted = !quoted; // a doubled quote toggles twice
    else if (c === delimiter && !quoted) {
      spans.push({ start, end: i });
      start = i + 1;
    }
  }
  spans.push({ start, end });
  return spans;
}
