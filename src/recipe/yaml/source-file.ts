import { Buffer, isUtf8 } from 'node:buffer';
import { type Document, LineCounter } from 'yaml';
import type { Diagnostic, Place } from '../../diagnostics/finding.ts';
import { documentData } from './document-data.ts';
import { extent, locate, nodeIdentity } from './locate.ts';
import { type Path, pathText } from './path.ts';
import { isPlainMap, type PlainMap, plainMap } from './plain-data.ts';
import { type PlacedBlock, quickYaml } from './quick-yaml.ts';
import type { TextBlocks } from './text-blocks.ts';
import { type ParsedYaml, parseYaml, type TextProblem } from './yaml-text.ts';

/** A text that values come from: a recipe, a part of one, or an override of the call. */
export interface Source {
  readonly name: string;
  /** Place of the value (or of its key) at a path, or of the nearest value above it. */
  place(path: Path, what: 'key' | 'value'): Place;
  /** The same for two paths that end in one node. */
  identity(path: Path): string;
}

/** A hand-written recipe has a few kilobytes; a long table of points some hundred. */
export const MOST_BYTES = 256 * 1024;

const TOO_LARGE: TextProblem = {
  code: 'file-too-large',
  message: 'the file has more than 256 KiB',
  help: 'name a recipe; a long table of points fits with fewer of them',
  from: 0,
  to: 0,
};

/**
 * One YAML file. Data at once; positions are only worked out for what has a finding. A plain text goes through the quick
 * parser, any other through the full one.
 */
export class SourceFile implements Source {
  readonly data: PlainMap;
  readonly diagnostics: readonly Diagnostic[];
  /** Its data block by block, where the quick parser saw them so; else null. */
  readonly blocks: readonly PlacedBlock[] | null = null;
  private parsed: ParsedYaml | null = null;
  /** Blocks by the full parser, for the places in them. */
  private readonly parsedBlocks = new Map<PlacedBlock, ParsedYaml>();
  private counted: LineCounter | null = null;
  private readonly anchors: boolean;

  private constructor(
    readonly name: string,
    readonly text: string,
    textProblems: readonly TextProblem[],
    known?: TextBlocks,
  ) {
    if (textProblems.length > 0) {
      this.data = plainMap();
      this.anchors = false;
      this.diagnostics = textProblems.map(p => this.diagnostic(p));
      return;
    }
    const quick = quickYaml(text, known);
    if (quick !== null) {
      this.data = quick.data;
      this.blocks = quick.blocks;
      this.anchors = false;
      this.diagnostics = [];
      return;
    }
    const yaml = this.yaml();
    const { data, problems, anchors } = documentData(yaml.document);
    const all = [...yaml.problems, ...(yaml.usable ? problems : [])];
    this.anchors = anchors;
    this.data = yaml.usable && isPlainMap(data) ? data : plainMap();
    if (all.length === 0 && !isPlainMap(data)) all.push(shapeProblem(data, text));
    this.diagnostics = all.map(p => this.diagnostic(p));
  }

  /** The file of these bytes; what is wrong with them is in its diagnostics. `known` are blocks of files read before. */
  static fromBytes(name: string, bytes: Uint8Array, known?: TextBlocks): SourceFile {
    if (bytes.length > MOST_BYTES) return new SourceFile(name, '', [TOO_LARGE]);
    if (isUtf8(bytes)) return SourceFile.fromText(name, textOf(bytes), known);
    return new SourceFile(name, new TextDecoder('utf-8').decode(bytes), [notUtf8(bytes)]);
  }

  /** The file of this text. A byte-order mark in front is no part of it. */
  static fromText(name: string, text: string, known?: TextBlocks): SourceFile {
    return new SourceFile(name, text.startsWith('\ufeff') ? text.slice(1) : text, [], known);
  }

  place(path: Path, what: 'key' | 'value'): Place {
    const placed = this.blocks?.find(({ block }) => block.key === path[0]);
    if (placed === undefined) return this.placeOf(...extentAt(this.yaml().document, this.text, path, what));
    const alone = this.text.slice(placed.from, placed.to);
    const [text, start] = placed.inJson ? [`{${alone}}`, placed.from - 1] : [alone, placed.from];
    const [from, to] = placed.block.extentOf(`${what} ${pathText(path)}`, () =>
      extentAt(this.yamlOf(placed, text).document, text, path, what),
    );
    return this.placeOf(start + from, start + to);
  }

  identity(path: Path): string {
    return `${this.name}#${this.anchors ? nodeIdentity(this.yaml().document, path) : pathText(path)}`;
  }

  private yaml(): ParsedYaml {
    this.parsed ??= parseYaml(this.text);
    return this.parsed;
  }

  /** The block alone, which reads as it does in the whole. */
  private yamlOf(block: PlacedBlock, text: string): ParsedYaml {
    const before = this.parsedBlocks.get(block);
    if (before !== undefined) return before;
    const parsed = parseYaml(text);
    this.parsedBlocks.set(block, parsed);
    return parsed;
  }

  private placeOf(from: number, to: number): Place {
    const lines = this.blocks === null ? this.yaml().lines : this.lines();
    const start = lines.linePos(from);
    const end = lines.linePos(Math.max(from, to));
    return {
      file: this.name,
      line: Math.max(1, start.line),
      column: Math.max(1, start.col),
      end_line: Math.max(1, end.line),
      end_column: Math.max(1, end.col),
    };
  }

  private lines(): LineCounter {
    if (this.counted === null) {
      this.counted = new LineCounter();
      for (let start = 0; start >= 0; start = this.text.indexOf('\n', start) + 1 || -1) this.counted.addNewLine(start);
    }
    return this.counted;
  }

  private diagnostic(p: TextProblem): Diagnostic {
    const at = this.placeOf(p.from, p.to);
    return { code: p.code, severity: 'error', message: p.message, ...at, path: null, help: p.help };
  }
}

/** Offsets of the value (or of its key) at a path, or of the nearest value above it. */
function extentAt(document: Document.Parsed, text: string, path: Path, what: 'key' | 'value'): [number, number] {
  const { node, key, depth } = locate(document, path);
  return extent(what === 'key' && depth === path.length && key !== null ? key : node, text);
}

/** A byte-order mark stays in. */
function textOf(bytes: Uint8Array): string {
  return Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('utf8');
}

function shapeProblem(data: unknown, text: string): TextProblem {
  if (data === null) {
    return {
      code: 'file-empty',
      message: 'the file is empty',
      help: 'a recipe starts with "recipe: 1"',
      from: 0,
      to: 0,
    };
  }
  const found = Array.isArray(data) ? 'a list' : 'a single value';
  const from = text.length - text.trimStart().length;
  return {
    code: 'not-a-mapping',
    message: `the file holds ${found}; a recipe is a mapping of keys`,
    help: 'write one "key: value" a line',
    from,
    to: from,
  };
}

/** Where the bytes stop being UTF-8. */
function notUtf8(bytes: Uint8Array): TextProblem {
  let good = 0;
  let bad = bytes.length;
  while (bad - good > 1) {
    const middle = (good + bad) >> 1;
    if (decodes(bytes.subarray(0, middle))) good = middle;
    else bad = middle;
  }
  const from = new TextDecoder('utf-8').decode(bytes.subarray(0, good), { stream: true }).length;
  const wide = (bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff);
  return {
    code: 'file-not-utf8',
    message: wide ? 'the file is UTF-16; recipes are UTF-8' : 'the file is not UTF-8 from here on',
    help: 'save it as UTF-8',
    from,
    to: from + 1,
  };
}

function decodes(bytes: Uint8Array): boolean {
  try {
    new TextDecoder('utf-8', { fatal: true }).decode(bytes, { stream: true });
    return true;
  } catch {
    return false;
  }
}
