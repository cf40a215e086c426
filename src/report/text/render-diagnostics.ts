import { byPosition, type Diagnostic } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { visibleText } from '../../diagnostics/visible-text.ts';
import type { View } from '../words/view.ts';

/** The line of a file that a finding points at, without its line break; null when it is not known. */
export type SourceLine = (file: string, line: number) => string | null;

/** A recipe that a finding of a part was found with, and what is true of it alone. */
interface Recipe {
  readonly file: string;
  readonly says: string | null;
}

/** A finding of a part may name the recipes it was found with. */
type Shown = Diagnostic & { readonly recipes?: readonly Recipe[] };

/** So many recipes of a part are named. */
const NAMED = 3;

/**
 * Findings for people, sorted by place: `file:line:column: error: message [code]`, then the line with the place
 * underlined, then what to do. Ends with a line break, empty for no findings.
 */
export function renderDiagnostics(diagnostics: readonly Shown[], view: View, sourceLine?: SourceLine): string {
  return [...diagnostics]
    .sort(byPosition)
    .map(diagnostic => renderOne(diagnostic, view, sourceLine))
    .join('');
}

function renderOne(d: Shown, view: View, sourceLine: SourceLine | undefined): string {
  const severity = d.severity === 'error' ? view.style.error('error') : view.style.warning('warning');
  const place = `${d.file}:${d.line}:${d.column}:`;
  const lines = wrapped(view, [
    { text: place, shown: view.style.strong(place) },
    { text: `${d.severity}:`, shown: `${severity}:` },
    ...words(visibleText(d.message)),
    { text: `[${d.code}]`, shown: view.style.faint(`[${d.code}]`) },
  ]);
  const source = sourceLine?.(d.file, d.line) ?? null;
  if (source !== null) lines.push(...excerpt(d, source, view));
  if (d.help !== null)
    lines.push(...below(view, [{ text: 'help:', shown: view.style.faint('help:') }, ...words(d.help)]));
  lines.push(...followsLines(d).flatMap(line => below(view, words(line))));
  return `${lines.join('\n')}\n`;
}

/** A word with its colours. */
interface Word {
  readonly text: string;
  readonly shown: string;
}

const words = (text: string): Word[] => text.split(' ').map(word => ({ text: word, shown: word }));

const INDENT = '    ';

/** One line; on a terminal as many as its width asks for, those after the first indented. */
function wrapped(view: View, all: readonly Word[], room = view.columns): string[] {
  if (view.wraps !== true) return [all.map(({ shown }) => shown).join(' ')];
  const lines: string[] = [];
  let [line, width] = ['', 0];
  for (const { text, shown } of all) {
    if (width > 0 && width + 1 + text.length > room) {
      lines.push(line);
      [line, width] = [`${INDENT}${shown}`, INDENT.length + text.length];
    } else [line, width] = width === 0 ? [shown, text.length] : [`${line} ${shown}`, width + 1 + text.length];
  }
  return [...lines, line];
}

/** The same under a finding. */
function below(view: View, all: readonly Word[]): string[] {
  return wrapped(view, all, view.columns - INDENT.length).map(line => `${INDENT}${line}`);
}

/** What follows from a finding, and for which recipes: nothing for most. */
export function followsLines({ effect, recipes = [] }: Pick<Shown, 'effect' | 'recipes'>): string[] {
  if (recipes.length === 0) return effect === undefined ? [] : [`moved: ${visibleText(effect)}`];
  const alike = recipes.filter(({ says }) => says === null).map(({ file }) => file);
  const apart = recipes.filter(({ says }) => says !== null);
  const more = (count: number) => (count > NAMED ? [`and ${counted(count - NAMED, 'more recipe')}`] : []);
  return [
    ...(alike.length > 0 ? [foundWith(alike)] : []),
    ...apart.slice(0, NAMED).map(({ file, says }) => `${file}: ${visibleText(says!)}`),
    ...more(apart.length),
  ];
}

/** "recipes: a.yaml, b.yaml, c.yaml and 9 more". */
function foundWith(files: readonly string[]): string {
  const more = files.length - NAMED;
  const names = files.slice(0, NAMED).join(', ');
  return `${files.length === 1 ? 'recipe' : 'recipes'}: ${names}${more > 0 ? ` and ${more} more` : ''}`;
}

/** The line and a row of carets under the place; a long line is cut around it. */
function excerpt(d: Diagnostic, source: string, view: View): string[] {
  const margin = String(d.line).length;
  const room = Math.max(20, view.columns - margin - 7);
  const start = d.column - 1 > room - 10 ? d.column - 11 : 0;
  const shown = source.slice(start, start + room).replaceAll('\t', ' ');
  const last = d.end_line === d.line ? d.end_column - 1 : source.length;
  // An escape is longer than what it stands for.
  const before = visibleText(shown.slice(0, Math.max(0, d.column - 1 - start)));
  const marked = visibleText(shown.slice(d.column - 1 - start, Math.max(0, last - start)));
  const visible = visibleText(shown);
  const bar = view.style.faint('|');
  return [
    `    ${view.style.faint(String(d.line))} ${bar} ${visible}`,
    `    ${' '.repeat(margin)} ${bar} ${' '.repeat(before.length)}${view.style.error('^'.repeat(Math.max(1, marked.length)))}`,
  ];
}

/** "2 errors, 1 warning"; "nothing to report" for none. */
export function countText(diagnostics: readonly Diagnostic[]): string {
  const errors = diagnostics.filter(d => d.severity === 'error').length;
  const warnings = diagnostics.length - errors;
  const parts = [
    ...(errors > 0 ? [counted(errors, 'error')] : []),
    ...(warnings > 0 ? [counted(warnings, 'warning')] : []),
  ];
  return parts.length === 0 ? 'nothing to report' : parts.join(', ');
}

/** "12 recipes checked". */
export function recipesText(checked: readonly { readonly isLock?: boolean }[]): string {
  const count = checked.filter(({ isLock }) => isLock !== true).length;
  return `${counted(count, 'recipe')} checked`;
}
