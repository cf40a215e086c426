import type { Diagnostic, Severity } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { visibleText } from '../../diagnostics/visible-text.ts';
import { countText, foundWith, recipesText } from '../text/render-diagnostics.ts';
import type { CheckInput } from './check-input.ts';
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
  const lines = [of('error'), of('warning')].flatMap(some =>
    some.slice(0, SHOWN).map(d => annotation(d, pathFromRoot)),
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

function annotation(d: OfRecipes<Diagnostic>, pathFromRoot: (file: string) => string): string {
  const properties: [string, string | number][] = [
    ['file', pathFromRoot(d.file)],
    ['line', d.line],
    ['endLine', d.end_line],
    // columns only count within one line
    ...(d.line === d.end_line ? [['col', d.column] as const, ['endColumn', d.end_column] as const] : []).map(
      ([key, value]): [string, number] => [key, value],
    ),
    ['title', d.code],
  ];
  const where = properties.map(([key, value]) => `${key}=${property(String(value))}`).join(',');
  const help = d.help === null ? '' : `\nhelp: ${d.help}`;
  const found = foundWith(d.recipes.map(pathFromRoot));
  return `::${d.severity} ${where}::${data(`${d.message}${help}${found === null ? '' : `\n${found}`}`)}`;
}

function data(text: string): string {
  return visibleText(text).replaceAll('%', '%25').replaceAll('\n', '%0A');
}

function property(text: string): string {
  return data(text).replaceAll(':', '%3A').replaceAll(',', '%2C');
}
