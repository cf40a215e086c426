/** What a cell may hold; null is an empty cell. */
export type CellValue = string | number | null;

/**
 * CSV text (RFC 4180 quoting, lines ended by LF so that a version control shows single rows): a header and rows.
 *
 * Numbers in full precision. A text that a spreadsheet would run as a formula (it begins with = + - @ or a tab) gets an apostrophe
 * in front; texts that are plain numbers are left alone.
 */
export function writeCsv(header: readonly string[], rows: readonly (readonly CellValue[])[]): string {
  return [header, ...rows].map(row => `${csvLine(row)}\n`).join('');
}

/** One line of a CSV file, without its end: what is appended to a log. Line breaks inside texts become spaces. */
export function csvLine(cells: readonly CellValue[]): string {
  return cells.map(cellText).join(',');
}

function cellText(value: CellValue): string {
  if (value === null) return '';
  if (typeof value === 'number') return Number.isFinite(value) ? String(value) : '';
  const line = value.replace(/\r\n|\n|\r/g, ' ');
  const safe = /^[=+\-@\t]/.test(line) && !/^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$/.test(line) ? `'${line}` : line;
  return /[",;\t]|^\s|\s$/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
