import { choice } from '../../diagnostics/suggestion.ts';

/** Name and unit of a column. */
export interface Head {
  /** Without the unit, trimmed. */
  readonly name: string;
  /** What stands in brackets of either kind after the name, or null. */
  readonly unit: string | null;
}

/** `name [unit]` or `name (unit)` taken apart; the unit is null without brackets at the end. */
export function splitHeader(text: string): Head {
  const match = /^(.*?)\s*(?:\[([^\]]*)\]|\(([^()]*(?:\([^()]*\)[^()]*)*)\))$/s.exec(text.trim());
  if (match === null) return { name: text.trim(), unit: null };
  return { name: match[1]!.trim(), unit: (match[2] ?? match[3])!.trim() };
}

/** `name [unit]`, or the name alone. */
export function headerText(name: string, unit: string | null): string {
  return unit === null ? name : `${name} [${unit}]`;
}

/** A name as it is compared: capitals, blanks, hyphens and underscores make no difference. */
export function plainName(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, '_');
}

/** Place of the head that is meant: letter by letter, else but for capitals and blanks, else but for its unit too; −1 for none. */
export function headIndex(heads: readonly string[], wanted: string): number {
  const ways = [(head: string) => head, plainName, (head: string) => plainName(splitHeader(head).name)];
  for (const way of ways) {
    const at = heads.findIndex(head => way(head) === way(wanted));
    if (at >= 0) return at;
  }
  return -1;
}

/** No message names more columns. */
const MOST_NAMED = 20;

/** "a, b and c". */
export function listed(names: readonly string[]): string {
  if (names.length > MOST_NAMED)
    return `${names.slice(0, MOST_NAMED).join(', ')} and ${names.length - MOST_NAMED} more`;
  return choice(names).replace(/ or (?=[^ ]*$)/, ' and ');
}
