import { isPlainMap, type Plain, type PlainMap } from './plain-data.ts';

/** A key of a mapping in JSON with its value, where they stand in the text: offsets, the end excluded. */
export interface JsonPair {
  readonly key: string;
  readonly from: number;
  readonly to: number;
}

/**
 * Data of a text that is JSON and that YAML reads in the same way, or null. Not taken are keys that stand twice, which are
 * counted: every key ends in a quote in front of a colon, and where such a pair stands in a text as well the count is too
 * high, which only declines.
 */
export function quickJson(text: string): Plain | null {
  if (/" *\n\s*:/.test(text)) return null;
  let data: Plain;
  try {
    data = JSON.parse(text) as Plain;
  } catch {
    return null;
  }
  return countOf(text, /" *:/g) === keysIn(data) ? data : null;
}

function countOf(text: string, pattern: RegExp): number {
  let count = 0;
  pattern.lastIndex = 0;
  while (pattern.test(text)) count += 1;
  return count;
}

function keysIn(data: Plain): number {
  if (Array.isArray(data)) return data.reduce((sum: number, item) => sum + keysIn(item), 0);
  if (!isPlainMap(data)) return 0;
  let count = 0;
  for (const key in data) count += 1 + keysIn((data as PlainMap)[key]!);
  return count;
}

const [QUOTE, OPEN, CLOSE, OPEN_LIST, CLOSE_LIST, COMMA, BACKSLASH] = [...'"{}[],\\'].map(sign => sign.charCodeAt(0));

/**
 * Where the pairs of the outermost mapping of a JSON text stand, which starts at once, blanks and commas left out; null where it does not look
 * like one. What is found has still to be parsed: only then it is known to be JSON.
 */
export function jsonPairs(text: string): JsonPair[] | null {
  const end = text.trimEnd().length - 1;
  if (text.charCodeAt(0) !== OPEN || text.charCodeAt(end) !== CLOSE) return null;
  const pairs: JsonPair[] = [];
  let depth = 0;
  let from = 1;
  for (let at = from; at <= end; at++) {
    const sign = text.charCodeAt(at);
    if (sign === QUOTE) {
      at = endOfText(text, at + 1);
      if (at < 0) return null;
    } else if (sign === OPEN || sign === OPEN_LIST) depth += 1;
    else if ((sign === CLOSE || sign === CLOSE_LIST) && at < end) depth -= 1;
    else if (depth === 0 && (sign === COMMA || at === end)) {
      const pair = pairOf(text, from, at);
      if (pair === null) return null;
      pairs.push(pair);
      from = at + 1;
    }
    if (depth < 0) return null;
  }
  return depth === 0 && pairs.length > 0 ? pairs : null;
}

/** Offset of the quote that ends a text, or -1. */
function endOfText(text: string, from: number): number {
  let end = text.indexOf('"', from);
  while (end > 0 && text.charCodeAt(end - 1) === BACKSLASH) {
    let escapes = 1;
    while (text.charCodeAt(end - 1 - escapes) === BACKSLASH) escapes += 1;
    if (escapes % 2 === 0) break;
    end = text.indexOf('"', end + 1);
  }
  return end;
}

function pairOf(text: string, from: number, to: number): JsonPair | null {
  const part = text.slice(from, to);
  const inside = part.trim();
  const key = /^"([^"\n]*)" *:/.exec(inside)?.[1];
  if (key === undefined) return null;
  const start = from + part.indexOf(inside);
  return { key, from: start, to: start + inside.length };
}
