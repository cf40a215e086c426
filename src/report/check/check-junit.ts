import type { Diagnostic } from '../../diagnostics/finding.ts';
import { visibleText } from '../../diagnostics/visible-text.ts';
import type { Checked, CheckInput, SilencedDiagnostic } from './check-input.ts';

/**
 * JUnit XML: a suite for each recipe, a case for each finding. Errors fail; warnings pass and say what they say; what the
 * recipe silences is skipped. A recipe without findings is one case that passes. Without times: the same input gives the
 * same bytes.
 */
export function checkJunit({ checked }: CheckInput): string {
  const suites = checked.map(suiteOf);
  const sum = (key: 'tests' | 'failures' | 'skipped') => suites.reduce((total, suite) => total + suite[key], 0);
  const counts = countsText({ tests: sum('tests'), failures: sum('failures'), skipped: sum('skipped') });
  const head = `<testsuites name="dwellbook check" ${counts}>`;
  const body = [head, ...suites.map(({ text }) => text), '</testsuites>'].join('\n');
  return `<?xml version="1.0" encoding="UTF-8"?>\n${body}\n`;
}

interface Counts {
  readonly tests: number;
  readonly failures: number;
  readonly skipped: number;
}

function countsText({ tests, failures, skipped }: Counts): string {
  return `tests="${tests}" failures="${failures}" errors="0" skipped="${skipped}"`;
}

function suiteOf({ file, name, diagnostics, silenced }: Checked): Counts & { readonly text: string } {
  const cases = [...diagnostics.map(d => caseOf(file, d)), ...silenced.map(d => skippedCase(file, d))];
  if (cases.length === 0) cases.push(`<testcase classname="${escaped(file)}" name="sound"/>`);
  const counts = {
    tests: cases.length,
    failures: diagnostics.filter(({ severity }) => severity === 'error').length,
    skipped: silenced.length,
  };
  const title = name === null ? file : `${file} (${name})`;
  const lines = cases.map(text => text.replace(/^/gm, '    '));
  const text = [`  <testsuite name="${escaped(title)}" ${countsText(counts)}>`, ...lines, '  </testsuite>'].join('\n');
  return { ...counts, text };
}

function caseOf(recipe: string, d: Diagnostic): string {
  const body =
    d.severity === 'error'
      ? `<failure type="${escaped(d.code)}" message="${escaped(d.message)}">${escaped(wording(d))}</failure>`
      : `<system-out>${escaped(wording(d))}</system-out>`;
  return `<testcase ${caseName(recipe, d)}>\n  ${body}\n</testcase>`;
}

function skippedCase(recipe: string, d: SilencedDiagnostic): string {
  return `<testcase ${caseName(recipe, d)}>\n  <skipped message="${escaped(`silenced: ${d.reason}`)}"/>\n</testcase>`;
}

function caseName(recipe: string, d: Diagnostic): string {
  return `classname="${escaped(recipe)}" name="${escaped(`${d.code} at ${d.file}:${d.line}:${d.column}`)}"`;
}

/** On one line, so that indenting the case leaves it as it is. */
function wording(d: Diagnostic): string {
  const help = d.help === null ? '' : ` (help: ${d.help})`;
  const effect = d.effect === undefined ? '' : ` (moved: ${d.effect})`;
  return `${d.file}:${d.line}:${d.column}: ${d.severity}: ${d.message} [${d.code}]${effect}${help}`.replace(
    /\s+/g,
    ' ',
  );
}

const SIGNS: Readonly<Record<string, string>> = {
  ...{ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;', '\t': '&#9;', '\n': '&#10;' },
  // These two cannot stand in XML 1.0 at all; the controls, which cannot either, are escapes by then.
  ...{ '\ufffe': '\ufffd', '\uffff': '\ufffd' },
};

function escaped(text: string): string {
  return Array.from(visibleText(text), sign => SIGNS[sign] ?? sign).join('');
}
