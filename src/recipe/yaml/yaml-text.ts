import { type Document, isNode, isScalar, LineCounter, parseDocument, type ScalarTag, type Tags, visit } from 'yaml';
import { distinctBy } from '../../diagnostics/distinct.ts';

/** Problem of a text, at offsets of it. */
export interface TextProblem {
  readonly code: string;
  readonly message: string;
  readonly help: string | null;
  readonly from: number;
  readonly to: number;
}

export interface ParsedYaml {
  readonly document: Document.Parsed;
  readonly lines: LineCounter;
  readonly problems: readonly TextProblem[];
  /** False when the text is so broken that its data mean nothing. */
  readonly usable: boolean;
}

/**
 * Document of a YAML 1.2 text. Numbers are decimal: what looks hexadecimal, octal, infinite or not-a-number stays text,
 * and is then refused where a number is due.
 */
export function parseYaml(text: string): ParsedYaml {
  const lines = new LineCounter();
  let document: Document.Parsed;
  try {
    document = parseDocument(text, {
      lineCounter: lines,
      prettyErrors: false,
      stringKeys: true,
      uniqueKeys: false, // the parser compares every key with every other; see repeatedKeys
      schema: 'core',
      customTags: decimalNumbersOnly,
    });
  } catch {
    return tooDeep(lines);
  }
  // The parser recurses once a level, and says so in its own errors when the stack is exhausted.
  if (document.errors.some(e => /call stack/i.test(e.message))) return tooDeep(lines);
  const found = [
    ...document.errors.map(syntaxProblem),
    ...(text.includes('!') ? foreignTags(document) : []),
    ...repeatedKeys(document),
    ...controlCharacters(text),
  ];
  // an unclosed bracket is reported by every level around it
  const problems = distinctBy(found, ({ from, message }) => `${from} ${message}`);
  const version = document.directives?.yaml;
  if (version?.explicit === true && version.version !== '1.2') {
    problems.push({
      code: 'yaml-syntax',
      message: `the text says YAML ${version.version}; recipes are YAML 1.2`,
      help: 'remove the %YAML line',
      from: 0,
      to: 5,
    });
  }
  return { document, lines, problems, usable: document.errors.length === 0 };
}

function tooDeep(lines: LineCounter): ParsedYaml {
  const document = parseDocument('', { prettyErrors: false });
  const problem = { code: 'yaml-syntax', message: 'the text is nested too deeply', help: null, from: 0, to: 1 };
  return { document, lines, problems: [problem], usable: false };
}

function decimalNumbersOnly(tags: Tags): Tags {
  return tags.filter(tag => {
    if (typeof tag === 'string') return true;
    const { format, test } = tag as ScalarTag;
    return format !== 'HEX' && format !== 'OCT' && !(test !== undefined && /inf/i.test(test.source));
  });
}

/** Sentences of ours for what people run into; the parser's own for the rest. */
const SENTENCES: Readonly<Record<string, readonly [code: string, message: string, help: string | null]>> = {
  TAB_AS_INDENT: ['yaml-tab', 'a tab in the indentation', 'indent with spaces'],
  MULTIPLE_DOCS: [
    'several-documents',
    'a second document starts here',
    'one recipe a file: remove the "---" or split the file',
  ],
  NON_STRING_KEY: ['yaml-syntax', 'a key is a single word', null],
};

function syntaxProblem(error: { code: string; message: string; pos: [number, number] }): TextProblem {
  const [code, message, help] = SENTENCES[error.code] ?? ['yaml-syntax', decapitalised(error.message), null];
  return { code, message, help, from: error.pos[0], to: error.pos[1] };
}

function decapitalised(message: string): string {
  return /^[A-Z][a-z]/.test(message) ? message[0]!.toLowerCase() + message.slice(1) : message;
}

/** Keys that stand twice in one mapping. */
function repeatedKeys(document: Document.Parsed): TextProblem[] {
  const found: TextProblem[] = [];
  visit(document, {
    Map(_key, map) {
      const seen = new Set<unknown>();
      for (const { key } of map.items) {
        const text = isScalar(key) ? key.value : key;
        const from = isNode(key) ? key.range?.[0] : undefined;
        if (seen.has(text) && from !== undefined) {
          const message = 'the key stands twice in this mapping';
          found.push({ code: 'yaml-duplicate-key', message, help: 'keep one of them', from, to: from + 1 });
        }
        seen.add(text);
      }
    },
  });
  return found;
}

/** Characters that YAML does not have: they could only be there by accident, or to deceive a terminal. */
function controlCharacters(text: string): TextProblem[] {
  // biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is looked for
  const found = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f\ufffe\uffff]/.exec(text);
  if (found === null) return [];
  const hex = found[0].charCodeAt(0).toString(16).toUpperCase().padStart(4, '0');
  const message = `a control character (U+${hex}) stands here`;
  return [{ code: 'yaml-syntax', message, help: 'remove it', from: found.index, to: found.index + 1 }];
}

const KNOWN_TAGS = new Set(['map', 'seq', 'str', 'int', 'float', 'bool', 'null'].map(t => `tag:yaml.org,2002:${t}`));

/** Tags that ask for data outside the format; a recipe cannot make objects. */
function foreignTags(document: Document.Parsed): TextProblem[] {
  const found: TextProblem[] = [];
  visit(document, {
    Node(_key, node) {
      const tag = (node as { tag?: string }).tag;
      if (tag !== undefined && !KNOWN_TAGS.has(tag) && node.range) {
        found.push({
          code: 'yaml-tag',
          message: `the tag ${tag.replace('tag:yaml.org,2002:', '!!')} has no meaning in a recipe`,
          help: 'remove the tag',
          from: node.range[0],
          to: node.range[1],
        });
      }
    },
  });
  return found;
}
