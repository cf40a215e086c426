import { type Diagnostic, OVERRIDE_FILE, type Severity } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { visibleText } from '../../diagnostics/visible-text.ts';
import { countText, followsLines, recipesText, type SourceLine } from '../text/render-diagnostics.ts';
import { type CheckInput, sourceLineOf } from './check-input.ts';
import { distinctOfRecipes, type OfRecipes } from './distinct-diagnostics.ts';

/** GitHub shows this many annotations of each kind a step, and drops the rest without a word. */
const SHOWN = 10;

/**
 * Workflow commands that GitHub shows beside the lines of a change, one a line, errors first; then how many more there
 * are, and the count.
 * Source: GitHub Docs, "Workflow commands for GitHub Actions".
 */
export function checkGithub({ checked, pathFromRoot }: CheckInput): string {
  const all = distinctOfRecipes(checked, ({ diagnostics }) => diagnostics);
  const of = (severity: Severity) => all.filter(d => d.severity === severity);
  const sourceLine = sourceLineOf(checked);
  const lines = [of('error'), of('warning')].flatMap(some =>
    some.slice(0, SHOWN).map(d => annotation(d, pathFromRoot, sourceLine)),
  );
  const more = (['error', 'warning'] as const).flatMap(severity => {
    const count = of(severity).length - SHOWN;
    return count > 0 ? [counted(count, `more ${severity}`)] : [];
  });
  if (more.length > 0) {
    lines.push(`::notice::${data(`${more.join(' and ')}: GitHub shows ${SHOWN} of each kind a step`)}`);
  }
  return `${[...lines, `${recipesText(checked)}: ${countText(all)}`].join('\n')}\n`;
}

function annotation(d: OfRecipes<Diagnostic>, pathFromRoot: (file: string) => string, sourceLine: SourceLine): string {
  const ofOption = d.file === OVERRIDE_FILE;
  const properties: [string, string | number][] = [
    ...(ofOption ? [] : placeProperties(d, pathFromRoot(d.file))),
    ['title', d.code],
  ];
  const where = properties.map(([key, value]) => `${key}=${property(String(value))}`).join(',');
  const lines = [
    d.message,
    ...(ofOption ? optionLines(d, sourceLine) : []),
    ...(d.help === null ? [] : [`help: ${d.help}`]),
    ...followsLines({ ...d, recipes: d.recipes.map(({ file, says }) => ({ file: pathFromRoot(file), says })) }),
  ];
  return `::${d.severity} ${where}::${data(lines.join('\n'))}`;
}

function placeProperties(d: Diagnostic, file: string): [string, string | number][] {
  return [
    ['file', file],
    ['line', d.line],
    ['endLine', d.end_line],
    // columns only count within one line
    ...(d.line === d.end_line ? ([['col', d.column] as const, ['endColumn', d.end_column] as const] as const) : []).map(
      ([key, value]): [string, number] => [key, value],
    ),
  ];
}

/** An option is a line of no file that GitHub could show: it stands in the message, underlined. */
function optionLines(d: Diagnostic, sourceLine: SourceLine): string[] {
  const option = sourceLine(d.file, d.line);
  if (option === null) return [];
  const marks = '^'.repeat(Math.max(1, d.end_column - d.column));
  return [`${d.file} ${option}`, `${' '.repeat(d.file.length + d.column)}${marks}`];
}

function data(text: string): string {
  return visibleText(text).replaceAll('%', '%25').replaceAll('\n', '%0A');
}

function property(text: string): string {
  return data(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}
