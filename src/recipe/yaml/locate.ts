import { type Document, isAlias, isCollection, isMap, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import { isMergeKey, keyText } from './document-data.ts';
import type { Path } from './path.ts';

export interface Located {
  readonly node: Node | null;
  /** The key of the last step, when that was a mapping's. */
  readonly key: Node | null;
  /** How many steps of the path exist. */
  readonly depth: number;
}

/** The node at a path, or the nearest one above it that exists. Aliases and merge keys are followed. */
export function locate(document: Document.Parsed, path: Path): Located {
  let located: Located = { node: document.contents as Node | null, key: null, depth: 0 };
  for (const step of path) {
    const container = followed(document, located.node);
    const next = child(document, container, step, 0);
    if (next === null) return located;
    located = { ...next, depth: located.depth + 1 };
  }
  return located;
}

/** The node an alias stands for, or the node itself. */
function followed(document: Document.Parsed, node: Node | null): Node | null {
  return isAlias(node) ? (node.resolve(document) ?? null) : node;
}

function child(
  document: Document.Parsed,
  container: Node | null,
  step: string | number,
  depth: number,
): { node: Node | null; key: Node | null } | null {
  if (isSeq(container)) {
    const item = typeof step === 'number' ? container.items[step] : undefined;
    return item === undefined ? null : { node: item as Node, key: null };
  }
  if (!isMap(container) || depth > 20) return null;
  const pairs = (container as YAMLMap<Node, Node>).items;
  const pair = pairByKey(container as YAMLMap<Node, Node>, step);
  if (pair !== undefined) return { node: pair.value ?? pair.key, key: pair.key };
  for (const merge of pairs.filter(isMergeKey)) {
    const found = mergedChild(document, merge, step, depth);
    if (found !== null) return found;
  }
  return null;
}

/** Pairs of each mapping by their keys: a file may have a finding at every key. */
const PAIRS = new WeakMap<YAMLMap<Node, Node>, Map<string | number, Pair<Node, Node>>>();

function pairByKey(map: YAMLMap<Node, Node>, key: string | number): Pair<Node, Node> | undefined {
  let pairs = PAIRS.get(map);
  if (pairs === undefined) {
    pairs = new Map();
    for (const pair of map.items) {
      const text = keyText(pair);
      if (!pairs.has(text)) pairs.set(text, pair as Pair<Node, Node>);
    }
    PAIRS.set(map, pairs);
  }
  return pairs.get(key);
}

function mergedChild(document: Document.Parsed, merge: Pair<Node, Node>, step: string | number, depth: number) {
  const value = followed(document, merge.value);
  const sources = isSeq(value) ? (value.items as Node[]) : [value];
  for (const source of sources) {
    const found = child(document, followed(document, source), step, depth + 1);
    if (found !== null) return found;
  }
  return null;
}

/** Offsets of a node without the blank that the parser counts to a collection. */
export function extent(node: Node | null, text: string): [from: number, to: number] {
  if (node === null || !node.range) return [0, 0];
  const [from, to] = node.range;
  if (!isCollection(node)) return [from, isScalar(node) || isAlias(node) ? Math.max(to, from) : to];
  const blank = /\s*$/.exec(text.slice(from, to))?.[0].length ?? 0;
  return [from, to - blank];
}

/** Path of the node that a path ends at when aliases are followed: equal for two uses of one anchor. */
export function nodeIdentity(document: Document.Parsed, path: Path): string {
  const { node, depth } = locate(document, path);
  const target = followed(document, node);
  const at = target?.range?.[0] ?? 0;
  return depth === path.length ? String(at) : `${at}/${path.slice(depth).join('/')}`;
}
