import { isAlias, isCollection, isMap, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import { recipeFinding } from '../../diagnostics/codes/recipe-codes.ts';
import type { Finding } from '../../diagnostics/finding.ts';
import { documentData, keyText } from './document-data.ts';
import { type Path, parsePath, pathText } from './path.ts';
import { isPlainMap, type Plain, plainMap } from './plain-data.ts';
import { type ParsedYaml, parseYaml } from './yaml-text.ts';
import { flowText, scalarText } from './yaml-values.ts';

/** A value for a path; lists and mappings are written on one line. Null removes nothing: it writes `null`. */
export interface Change {
  readonly path: string;
  readonly value: Plain;
}

export interface Written {
  /** The text with the values in it; the text as it was when there are findings. */
  readonly text: string;
  readonly findings: readonly Finding[];
}

/**
 * The YAML text with these values in it. Only the values themselves change: comments, order, layout, quotes, line ends
 * and a byte-order mark stay, byte for byte. A key that is not there yet is added at the end of its block; so is a block.
 * A value that comes by way of `from` or a merge key gets a key of its own here, which overrides it.
 */
export function writeValues(text: string, changes: readonly Change[]): Written {
  const mark = text.startsWith('\ufeff') ? '\ufeff' : '';
  let out = text.slice(mark.length);
  const findings: Finding[] = [];
  for (const change of changes) {
    const path = parsePath(change.path);
    const next = path === null ? 'this is no path of a value' : written(out, path, change.value);
    if (typeof next === 'string') findings.push(impossible(change.path, next));
    else out = next.text;
  }
  return findings.length > 0 ? { text, findings } : { text: mark + out, findings };
}

function impossible(path: string, why: string): Finding {
  return recipeFinding('write-impossible', path, `${path} cannot be written: ${why}`, 'write the value by hand');
}

function written(text: string, path: Path, value: Plain): { text: string } | string {
  const yaml = parseYaml(text);
  if (!yaml.usable || yaml.problems.length > 0) return 'the text is not sound YAML';
  const edit = editFor(text, yaml, path, value);
  if (typeof edit === 'string') return edit;
  const out = text.slice(0, edit.from) + edit.text + text.slice(edit.to);
  // The edit is proven by reading the result: the value is there, and everything else is as it was.
  const before = documentData(yaml.document).data;
  const after = documentData(parseYaml(out).document).data;
  return same(after, withValue(before, path, value)) ? { text: out } : 'the layout of the text leaves no room for it';
}

interface Edit {
  readonly from: number;
  readonly to: number;
  readonly text: string;
}

function editFor(text: string, yaml: ParsedYaml, path: Path, value: Plain): Edit | string {
  let node = yaml.document.contents as Node | null;
  for (let depth = 0; depth < path.length; depth++) {
    const step = path[depth]!;
    const rest = path.slice(depth + 1);
    const here = pathText(path.slice(0, depth)) || 'the file';
    if (isAlias(node)) return `${here} is an alias, whose other uses would change with it`;
    if (isSeq(node)) {
      const item = typeof step === 'number' ? node.items[step] : undefined;
      if (item === undefined) return `${here} has no item ${step}`;
      node = item as Node;
      continue;
    }
    if (typeof step === 'number') return `${here} is no list in this file`;
    if (!isMap(node)) return node === null && depth === 0 ? 'the file is empty' : `${here} is no mapping in this file`;
    const pair: Pair<Node, Node> | undefined = (node as YAMLMap<Node, Node>).items.find(p => keyText(p) === step);
    if (pair === undefined) return insertion(text, node as YAMLMap<Node, Node>, step, nested(rest, value));
    if (isNothing(pair.value)) return filled(text, pair, nested(rest, value));
    node = pair.value;
  }
  return replacement(text, node, value);
}

function isNothing(node: Node | null): boolean {
  return node === null || (isScalar(node) && node.value === null && (node.range?.[0] ?? 0) === (node.range?.[1] ?? 0));
}

/** `{a: {b: value}}` for the path a.b; list indexes cannot be made up. */
function nested(rest: Path, value: Plain): Plain | undefined {
  let out: Plain = value;
  for (const step of [...rest].reverse()) {
    if (typeof step === 'number') return undefined;
    const map = plainMap();
    map[step] = out;
    out = map;
  }
  return out;
}

const NO_LIST = 'the list it belongs to is not in this file';

/** A new key at the end of a mapping. */
function insertion(text: string, map: YAMLMap<Node, Node>, key: string, value: Plain | undefined): Edit | string {
  if (value === undefined) return NO_LIST;
  if (map.flow === true) {
    const close = text.lastIndexOf('}', map.range![1] - 1);
    const before = text.slice(map.range![0], close).replace(/\s+$/, '');
    const at = map.range![0] + before.length;
    const separator = map.items.length === 0 ? '' : before.endsWith(',') ? ' ' : ', ';
    return { from: at, to: at, text: `${separator}${scalarText(key)}: ${flowText(value)}` };
  }
  const first = map.items[0]?.key?.range?.[0];
  const last = map.items.at(-1);
  if (first === undefined || last === undefined) return 'the mapping is empty';
  const lineEnd = text.includes('\r\n') ? '\r\n' : '\n';
  const indent = ' '.repeat(first - (text.lastIndexOf('\n', first - 1) + 1));
  const at = endOfLine(text, contentEnd(last));
  const lines = blockLines(key, value, indent).join(lineEnd);
  return { from: at, to: at, text: `${lineEnd}${lines}` };
}

/** Offset after the last character of a pair's value (comments apart). */
function contentEnd(pair: Pair<Node, Node>): number {
  const end = (node: Node | null): number => {
    if (node === null || !node.range) return 0;
    if (isCollection(node) && (node as { flow?: boolean }).flow !== true) {
      const item = node.items.at(-1);
      if (item !== undefined) {
        const inner = isMap(node) ? contentEnd(item as Pair<Node, Node>) : end(item as Node);
        return Math.max(inner, node.range[0]);
      }
    }
    return node.range[1];
  };
  return Math.max(end(pair.value), pair.key.range?.[1] ?? 0);
}

/** End of the line on which the offset stands, without its line break; a block text ends with its break already. */
function endOfLine(text: string, offset: number): number {
  let at = offset;
  while (at > 0 && /[\r\n]/.test(text[at - 1]!)) at--;
  const next = text.indexOf('\n', at);
  if (next === -1) return text.length;
  return text[next - 1] === '\r' && next - 1 >= at ? next - 1 : next;
}

/** Lines of a key in a block mapping: nested mappings as blocks, everything below as one line. */
function blockLines(key: string, value: Plain, indent: string): string[] {
  const name = `${indent}${scalarText(key)}:`;
  if (!isPlainMap(value) || indent !== '' || Object.keys(value).length === 0) return [`${name} ${flowText(value)}`];
  return [name, ...Object.entries(value).map(([k, v]) => `${indent}  ${scalarText(k)}: ${flowText(v)}`)];
}

/** A value after a key that has none. */
function filled(text: string, pair: Pair<Node, Node>, value: Plain | undefined): Edit | string {
  if (value === undefined) return NO_LIST;
  const colon = text.indexOf(':', pair.key.range![1]);
  if (colon === -1) return 'the key has no colon';
  return { from: colon + 1, to: colon + 1, text: ` ${flowText(value)}` };
}

/** A value in place of another, in the quotes of that one. */
function replacement(text: string, node: Node | null, value: Plain): Edit | string {
  if (node?.range === undefined || node.range === null) return 'there is nothing to replace';
  const [from, to] = node.range;
  if (isCollection(node) && (node as { flow?: boolean }).flow !== true) {
    return blockReplacement(text, node, value);
  }
  const style = isScalar(node) ? node.type : undefined;
  if (style === 'BLOCK_FOLDED' || style === 'BLOCK_LITERAL') return 'it is a text of several lines';
  const anchored = (node as { anchor?: string }).anchor;
  if (anchored !== undefined && !isScalar(node)) return 'other places repeat it by an alias';
  return { from, to, text: flowText(value, style === 'QUOTE_SINGLE' || style === 'QUOTE_DOUBLE' ? style : 'PLAIN') };
}

/** A block list or mapping becomes one line after its key. */
function blockReplacement(text: string, node: Node, value: Plain): Edit | string {
  const [from, to] = node.range!;
  let end = to;
  while (end > from && /\s/.test(text[end - 1]!)) end--;
  const inside = text.slice(from, end);
  if (/(^|\s)#/.test(inside)) return 'there are comments in what it would replace';
  let start = from;
  while (start > 0 && /\s/.test(text[start - 1]!)) start--;
  if (text[start - 1] !== ':') return 'there are comments before what it would replace';
  return { from: start, to: end, text: ` ${flowText(value)}` };
}

function withValue(data: Plain, path: Path, value: Plain): Plain {
  const [step, ...rest] = path;
  if (step === undefined) return value;
  if (Array.isArray(data)) return data.map((item, i) => (i === step ? withValue(item, rest, value) : item));
  const map = Object.assign(plainMap(), isPlainMap(data) ? data : {});
  map[String(step)] = withValue(map[String(step)] ?? null, rest, value);
  return map;
}

function same(a: Plain, b: Plain): boolean {
  if (Array.isArray(a) && Array.isArray(b)) return a.length === b.length && a.every((item, i) => same(item, b[i]!));
  if (!isPlainMap(a) || !isPlainMap(b)) return Object.is(a, b);
  const keys = Object.keys(a);
  return keys.length === Object.keys(b).length && keys.every(k => Object.hasOwn(b, k) && same(a[k]!, b[k]!));
}
