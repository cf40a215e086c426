import { FAILSAFE_SCHEMA, load, Type } from 'js-yaml';
import { documentData } from './document-data.ts';
import { isPlainMap, type Plain, type PlainMap } from './plain-data.ts';
import { jsonPairs, quickJson } from './quick-json.ts';
import { TextBlock, TextBlocks } from './text-blocks.ts';
import { parseYaml } from './yaml-text.ts';

/**
 * Signs that keep a text from falling into blocks that read by themselves as in the whole: directives, markers of documents,
 * and what ends a line for one reader and not for the other.
 */
const WHOLE = /[\r\u2028\u2029\ufeff]|^(?:%|---|\.\.\.)/m;

/**
 * Signs at which the two parsers may part, or which need positions of their own: anchors, aliases, tags, explicit keys,
 * merge keys, escapes but the usual ones, block texts that say how they end, comments and colons without a blank, tabs,
 * and every character that is not printable. Most are harmless where they stand; the full parser decides that.
 */
const BEYOND =
  /[^\n\x20-\x7e\u00a0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd]|[!&?@`]|\\(?![nrt"\\])|\*(?!\s)|<<|[|>][-+\d]|[^\s]#/;

/** Collections as keys, and keys in quotes that are more than a word or stand apart from their colon or it from what follows. */
const ODD_KEY = /[\]}]\s*:|["'](?:\s+:|:(?![ \n]|$)|(?<!["'][A-Za-z][\w-]*["']):)/;

/** Keys that a plain scalar of another type, or a JavaScript object, could stand behind. */
const PLAIN_KEY = /^[A-Za-z][\w-]*$/;
const NO_PLAIN_KEYS = new Set([
  ...'true false null infinity nan'.split(' '),
  ...Object.getOwnPropertyNames(Object.prototype),
]);

const LIMITS = { depth: 30, knownKeys: 1_000 };

/** The scalars of the core schema with decimal numbers only, by the same patterns as the full parser has. */
const SCHEMA = FAILSAFE_SCHEMA.extend({
  implicit: [
    scalar('null', /^(?:~|[Nn]ull|NULL)?$/, () => null),
    scalar('bool', /^(?:[Tt]rue|TRUE|[Ff]alse|FALSE)$/, text => text.toLowerCase() === 'true'),
    scalar('int', /^[-+]?[0-9]+$/, Number),
    scalar('float', /^[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?(?:[eE][-+]?[0-9]+)?|\.[0-9]+[eE][-+]?[0-9]+)$/, Number),
  ],
});

function scalar(name: string, pattern: RegExp, construct: (text: string) => Plain): Type {
  return new Type(`tag:yaml.org,2002:${name}`, {
    kind: 'scalar',
    resolve: (text: string | null) => pattern.test(text ?? ''),
    construct: (text: string | null) => construct(text ?? ''),
  });
}

export interface QuickYaml {
  readonly data: PlainMap;
  /** The same block by block, in order; null for a text that does not fall into blocks. */
  readonly blocks: readonly PlacedBlock[] | null;
}

/** A block where it stands in a text: offsets, the end excluded. */
export interface PlacedBlock {
  readonly block: TextBlock;
  readonly from: number;
  readonly to: number;
  /** It stands inside the brackets of a text that is JSON. */
  readonly inJson: boolean;
}

/**
 * Data of a text that is plain YAML, or null: for the full parser, which alone says what is wrong and where. What comes out
 * is what the full parser would give. Where every top-level key starts a line, each block is read by itself, as JSON, by
 * the quick parser or by the full one, once for all texts in which it reads the same: a block that is sound alone ends
 * where the next key starts. So are the pairs of a text that is JSON as a whole.
 * Evidence: tests hold the two together over the YAML test suite, fixtures, and recipes damaged at random.
 */
export function quickYaml(text: string, known = new TextBlocks()): QuickYaml | null {
  if (WHOLE.test(text)) return null;
  const blocks = text.startsWith('{') ? blocksOfJson(text, known) : blocksOf(text, known);
  if (blocks !== null) {
    const data: PlainMap = {};
    for (const { block } of blocks) data[block.key] = block.value;
    return { data, blocks };
  }
  const data = parsed(text);
  return data === null ? null : { data, blocks: null };
}

function parsed(text: string): PlainMap | null {
  if (BEYOND.test(text) || ODD_KEY.test(text) || hasRemarkInBrackets(text)) return null;
  try {
    const data: unknown = load(text, { schema: SCHEMA, onWarning: decline });
    return isPlainMap(data) && isTame(data, 0) ? data : null;
  } catch {
    return null;
  }
}

/** A remark without indentation that may stand inside brackets, where the full parser finds fault with some. */
function hasRemarkInBrackets(text: string): boolean {
  if (!text.includes('\n#')) return false;
  return text.split('\n').some(line => {
    const bare = line.replace(/"[^"]*"|'[^']*'/g, '');
    return bare.split(/[{[]/).length > bare.split(/[\]}]/).length;
  });
}

const TOP_LEVEL_KEY = /^(["']?)([A-Za-z][\w-]*)\1:(?=[ \n]|$)/gm;
/** What may stand above the first key: remarks and empty lines. */
const NOTHING = /^(?: *(?:#[^\n]*)?\n)*$/;

/** The blocks of a text, or null where it does not fall into sound blocks with different keys. */
function blocksOf(text: string, known: TextBlocks): PlacedBlock[] | null {
  const starts = [...text.matchAll(TOP_LEVEL_KEY)];
  if (starts.length === 0 || !NOTHING.test(text.slice(0, starts[0]!.index))) return null;
  const blocks: PlacedBlock[] = [];
  const keys = new Set<string>();
  for (const [i, { 0: start, 2: key, index }] of starts.entries()) {
    const to = starts[i + 1]?.index ?? text.length;
    const part = text.slice(index, to);
    const block = known.block(
      key!,
      part,
      () => jsonBlock(key!, part, start.length) ?? blockWith(key!, parsed(part)) ?? blockWith(key!, fullyParsed(part)),
    );
    if (block === null || keys.has(block.key)) return null;
    keys.add(block.key);
    blocks.push({ block, from: index, to, inJson: false });
  }
  return blocks;
}

/** The blocks of a text that is JSON as a whole, or null. */
function blocksOfJson(text: string, known: TextBlocks): PlacedBlock[] | null {
  const pairs = jsonPairs(text);
  if (pairs === null) return null;
  const blocks: PlacedBlock[] = [];
  const keys = new Set<string>();
  for (const { key, from, to } of pairs) {
    // As a mapping of its own: inside brackets YAML does not ask for the indentation that it asks for outside.
    const whole = `{${text.slice(from, to)}}`;
    const block = known.block(key, whole, () => jsonMapping(key, whole));
    if (block === null || keys.has(key)) return null;
    keys.add(key);
    blocks.push({ block, from, to, inJson: true });
  }
  return blocks;
}

function jsonMapping(key: string, text: string): TextBlock | null {
  const data = quickJson(text);
  return data !== null && isPlainMap(data) && Object.hasOwn(data, key) && isTame(data, 0)
    ? textBlock(key, data[key]!)
    : null;
}

/** A line that is not indented, other than a last one that closes what the first opened. */
const NOT_INDENTED = /\n(?![ \n]|[\]}]?\s*$)/;

/** A key with JSON behind it, from `start` on; null for anything else. */
function jsonBlock(key: string, text: string, start: number): TextBlock | null {
  const sign = text[start + 1];
  if (text[start] !== ' ' || (sign !== '{' && sign !== '[' && sign !== '"') || NOT_INDENTED.test(text)) return null;
  const value = quickJson(text.slice(start));
  return value !== null && isPlainKey(key) && isTame(value, 1) ? textBlock(key, value) : null;
}

/** By the full parser, where nothing is wrong and nothing names anything. */
function fullyParsed(text: string): PlainMap | null {
  const { document, problems } = parseYaml(text);
  if (problems.length > 0) return null;
  const { data, problems: more, anchors } = documentData(document);
  return more.length === 0 && !anchors && isPlainMap(data) ? data : null;
}

function blockWith(key: string, data: PlainMap | null): TextBlock | null {
  if (data === null || Object.keys(data).length !== 1 || !Object.hasOwn(data, key)) return null;
  return textBlock(key, data[key]!);
}

function textBlock(key: string, value: Plain): TextBlock {
  return new TextBlock(key, value, key !== 'from' && isSettled(value));
}

function isSettled(value: Plain): boolean {
  if (typeof value !== 'object') return true;
  if (value === null) return false;
  if (Array.isArray(value)) return value.every(isSettled);
  for (const key in value) if (key === 'from' || !isSettled(value[key]!)) return false;
  return true;
}

function decline(): never {
  throw new SyntaxError('left to the full parser');
}

const knownKeys = new Set<string>();

function isPlainKey(key: string): boolean {
  if (knownKeys.has(key)) return true;
  if (!PLAIN_KEY.test(key) || NO_PLAIN_KEYS.has(key.toLowerCase()) || NO_PLAIN_KEYS.has(key)) return false;
  if (knownKeys.size < LIMITS.knownKeys) knownKeys.add(key);
  return true;
}

function isTame(value: unknown, depth: number): boolean {
  if (typeof value !== 'object' || value === null) return true;
  if (depth > LIMITS.depth) return false;
  if (Array.isArray(value)) return value.every(item => isTame(item, depth + 1));
  for (const key in value) {
    if (!isPlainKey(key) || !isTame((value as PlainMap)[key], depth + 1)) return false;
  }
  return true;
}
