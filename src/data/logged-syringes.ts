import type { Diagnostic } from '../diagnostics/finding.ts';
import { columnNamed, findColumn } from './columns/find-column.ts';
import { readCsv } from './csv/csv.ts';

/** A line of a check log by its words alone, with its place. */
export type LoggedWords = Record<(typeof WORDS)[number], string> & { readonly file: string; readonly line: number };

const WORDS = ['time', 'recipe', 'digest', 'syringe', 'lot', 'operator', 'decision'] as const;

/**
 * Every line of a check log that can be told from others, whatever its numbers are: a line that a chart could not use may
 * still name a syringe. `complete` says that nothing in the file was unreadable.
 */
export function readLoggedWords(
  text: string,
  file: string,
): { lines: LoggedWords[]; complete: boolean; diagnostics: readonly Diagnostic[] } {
  const { table, diagnostics } = readCsv(text, file);
  const found: Diagnostic[] = [...diagnostics];
  if (table === null) return { lines: [], complete: false, diagnostics: found };
  for (const name of ['time', 'syringe', 'lot', 'decision'] as const) {
    const column = columnNamed(table, name);
    if ('code' in column) found.push(column);
  }
  const cells = WORDS.map(name => {
    const column = findColumn(table, name);
    return column === undefined || 'code' in column ? undefined : column.cells;
  });
  const lines = Array.from({ length: table.rows }, (_, i) => {
    const words = Object.fromEntries(WORDS.map((name, at) => [name, cells[at]?.[i] ?? '']));
    return { ...(words as Record<(typeof WORDS)[number], string>), file, line: table.place(i, 0).line };
  });
  return { lines, complete: !found.some(({ severity }) => severity === 'error'), diagnostics: found };
}
