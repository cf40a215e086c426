import { visibleText } from '../../diagnostics/visible-text.ts';
import { documentData } from './document-data.ts';
import { isPlainMap, type Plain } from './plain-data.ts';
import { parseYaml } from './yaml-text.ts';

export type QuoteStyle = 'PLAIN' | 'QUOTE_SINGLE' | 'QUOTE_DOUBLE';

/** A value on one line, as it may stand in a flow collection and after a key alike. */
export function flowText(value: Plain, style: QuoteStyle = 'PLAIN'): string {
  if (Array.isArray(value)) return `[${value.map(item => flowText(item)).join(', ')}]`;
  if (isPlainMap(value)) {
    const pairs = Object.entries(value).map(([key, inner]) => `${scalarText(key)}: ${flowText(inner)}`);
    return `{${pairs.join(', ')}}`;
  }
  return typeof value === 'string' ? scalarText(value, style) : String(value);
}

/** A text as a scalar: plain where it reads back as the same text, else in the quotes asked for, else in double ones. */
export function scalarText(text: string, style: QuoteStyle = 'PLAIN'): string {
  // What cannot be seen is written as what can.
  if (visibleText(text) !== text) return visibleText(JSON.stringify(text));
  if (style === 'QUOTE_SINGLE' && /^[^\p{Cc}]*$/u.test(text)) return `'${text.replaceAll("'", "''")}'`;
  if (style === 'PLAIN' && readsBack(text)) return text;
  return JSON.stringify(text);
}

/** What other readers of YAML take for a number or a date, though recipes do not. */
const FOREIGN_NUMBER = /^[-+]?(?:0[xob]|\.(?:inf|nan)$|\d[\d_]*:|\d{4}-\d{1,2}-\d{1,2})/i;

/** True when the text stands for itself without quotes, inside brackets as well. */
function readsBack(text: string): boolean {
  if (FOREIGN_NUMBER.test(text)) return false;
  if (!/^[\p{L}\p{N}_.+\-\u2212/(=][^\r\n\t#:,[\]{}"'&*!|>%@`]*(?: %)?$/u.test(text) || text !== text.trim())
    return false;
  const { document, problems } = parseYaml(`[${text}]`);
  const { data } = documentData(document);
  return problems.length === 0 && Array.isArray(data) && data.length === 1 && data[0] === text;
}
