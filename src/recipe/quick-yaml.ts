import { FAILSAFE_SCHEMA, load, Type } from 'js-yaml';
import { isPlainMap, type Plain, type PlainMap } from './plain-data.ts';

/**
 * Signs at which the two parsers may part, or which need positions of their own: anchors, aliases, tags, directives,
 * markers of documents, explicit keys, merge keys, collections as keys, escapes, block texts that say how they
 * end, comments and colons without a blank, tabs, and
 * every character that is not printable. Most are harmless where they stand; the full parser decides that.
 */
const BEYOND =
  /[^\n\x20-\x7e\u00a0-\u2027\u202a-\ud7ff\ue000-\ufefe\uff00-\ufffd]|[!&?@\\`]|\*(?!\s)|<<|[|>][-+\d]|[^\s]#|[\]}"']\s*:|^(?:%|---|\.\.\.)/m;

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

/**
 * Data of a text that is plain YAML in every respect, or null: for the full parser, which alone says what is wrong and where.
 * What comes out is what the full parser would give.
 * Evidence: tests hold the two together over the YAML test suite, fixtures, and recipes damaged at random.
 */
export function quickYaml(text: string): PlainMap | null {
  if (BEYOND.test(text)) return null;
  try {
    const data: unknown = load(text, { schema: SCHEMA, onWarning: decline });
    return isPlainMap(data) && isTame(data, 0) ? data : null;
  } catch {
    return null;
  }
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
