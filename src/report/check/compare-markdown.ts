import { resultText, shareText } from '../../analysis/changes/result-changes.ts';
import type { Diagnostic } from '../../diagnostics/finding.ts';
import { counted } from '../../diagnostics/number-words.ts';
import { visibleText } from '../../diagnostics/visible-text.ts';
import { type CompareResult, countsText } from '../text/render-compare.ts';
import { NONE } from '../words/number-text.ts';

/** Comments of change requests end at 65,536 characters; the rest is for what the platform adds. */
const MOST = 60_000;

/** The comparison as Markdown: one section a recipe, tables of inputs and results. */
export function compareMarkdown(result: CompareResult, diagnostics: readonly Diagnostic[]): string {
  const head = `## Recipes: ${countsText(result)}\n\n${code(result.old)} → ${code(result.new)}\n`;
  const sections = result.recipes.map(recipe =>
    section(
      recipe,
      diagnostics.filter(d => d.file === recipe.recipe),
    ),
  );
  let text = head;
  for (const [i, block] of sections.entries()) {
    if (text.length + block.length > MOST) {
      const rest = sections.length - i;
      return `${text}\n${counted(rest, 'more recipe')}: too long for a comment. \`dwellbook compare\` shows them.\n`;
    }
    text += block;
  }
  return text;
}

function section(recipe: CompareResult['recipes'][number], diagnostics: readonly Diagnostic[]): string {
  const parts = recipe.because.filter(file => file !== recipe.recipe);
  const through = parts.length === 0 ? '' : ` through ${parts.map(code).join(', ')}`;
  const name = recipe.name === null ? '' : ` ${plain(recipe.name)}`;
  const inputs = recipe.inputs.map(c => [code(c.path), shown(c.old), shown(c.new)]);
  const results = recipe.results.map(c => [
    code(c.key),
    resultText(c.key, c.old),
    resultText(c.key, c.new),
    shareText(c),
  ]);
  const findings = recipe.findings.map(f => `- ${f.side} **${f.severity}**: ${plain(f.message)} (${code(f.code)})`);
  const broken = diagnostics.map(d => `- line ${d.line}: **${d.severity}**: ${plain(d.message)} (${code(d.code)})`);
  const blocks = [
    `### ${code(recipe.recipe)}${name}: ${recipe.state}${through}`,
    ...(broken.length > 0 ? [broken.join('\n')] : []),
    ...(inputs.length > 0 ? [table(['input', 'old', 'new'], inputs)] : []),
    ...(results.length > 0 ? [table(['result', 'old', 'new', 'change'], results)] : []),
    ...(recipe.state === 'changed' && results.length === 0 ? ['No result moves.'] : []),
    ...(findings.length > 0 ? [findings.join('\n')] : []),
  ];
  return `\n${blocks.join('\n\n')}\n`;
}

function table(heads: readonly string[], rows: readonly (readonly string[])[]): string {
  const rule = heads.map((_, i) => (i === 0 ? '---' : '---:'));
  return [heads, rule, ...rows].map(cells => `| ${cells.join(' | ')} |`).join('\n');
}

function shown(text: string | null): string {
  return text === null ? NONE : code(text);
}

/** Text of a recipe as code: in it nothing is a link, a mention or a tag. A bar would end the cell of a table all the same. */
function code(text: string): string {
  const line = visibleText(text).replace(/\s+/g, ' ').trim().replaceAll('`', "'").replaceAll('|', '\\|');
  return line === '' ? '' : `\`${line}\``;
}

/** Text of a recipe as words, with every sign that Markdown or HTML would act on made harmless. */
function plain(text: string): string {
  return visibleText(text)
    .replace(/\s+/g, ' ')
    .trim()
    .replace(/[\\`*_{}[\]()#+!|<>~@]/g, sign => `&#${sign.charCodeAt(0)};`);
}
