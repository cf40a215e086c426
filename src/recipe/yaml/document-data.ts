import { type Document, isAlias, isMap, isScalar, isSeq, type Node, type Pair, type YAMLMap } from 'yaml';
import { type Plain, type PlainMap, plainMap } from './plain-data.ts';
import type { TextProblem } from './yaml-text.ts';

/** Bounds on what aliases may unfold to; a hand-written recipe has some hundred values. */
const LIMITS = { aliasedNodes: 20_000, depth: 100 };

interface Walk {
  readonly anchors: Map<string, Node>;
  readonly problems: TextProblem[];
  /** Anchored nodes that are being unfolded, to see a node that holds itself. */
  readonly open: Set<Node>;
  aliased: number;
  inAlias: number;
}

/** Plain data of a document; aliases and merge keys unfolded, within bounds. Never throws. */
export function documentData(document: Document.Parsed): { data: Plain; problems: TextProblem[]; anchors: boolean } {
  const walk: Walk = { anchors: new Map(), problems: [], open: new Set(), aliased: 0, inAlias: 0 };
  const data = document.contents === null ? null : nodeData(document.contents as Node, walk, 0);
  return { data, problems: walk.problems, anchors: walk.anchors.size > 0 };
}

function nodeData(node: Node | null | undefined, walk: Walk, depth: number): Plain {
  if (node === null || node === undefined) return null;
  if (walk.inAlias > 0 && ++walk.aliased > LIMITS.aliasedNodes) return null;
  if (depth > LIMITS.depth) {
    report(walk, node, 'yaml-syntax', `nested more than ${LIMITS.depth} levels deep`);
    return null;
  }
  if (isAlias(node)) return aliasData(node, walk, depth);
  const anchor = (node as { anchor?: string }).anchor;
  if (anchor !== undefined) walk.anchors.set(anchor, node);
  if (isScalar(node)) return scalarData(node.value);
  if (isSeq(node)) return collection(node, walk, () => node.items.map(item => nodeData(item as Node, walk, depth + 1)));
  if (isMap(node)) return collection(node, walk, () => mapData(node as YAMLMap<Node, Node>, walk, depth));
  return null;
}

function collection<T extends Plain>(node: Node, walk: Walk, read: () => T): T {
  walk.open.add(node);
  const data = read();
  walk.open.delete(node);
  return data;
}

function scalarData(value: unknown): Plain {
  if (typeof value === 'bigint') return Number(value);
  return value === null || ['string', 'number', 'boolean'].includes(typeof value) ? (value as Plain) : String(value);
}

function aliasData(node: Node & { source: string }, walk: Walk, depth: number): Plain {
  const target = walk.anchors.get(node.source);
  if (target === undefined) {
    report(walk, node, 'alias-unknown', `no anchor "&${node.source}" stands before this alias`);
    return null;
  }
  if (walk.open.has(target)) {
    report(walk, node, 'alias-unknown', `the alias "*${node.source}" stands inside what it names`);
    return null;
  }
  const before = walk.aliased;
  walk.inAlias++;
  const data = nodeData(target, walk, depth + 1);
  walk.inAlias--;
  if (walk.aliased > LIMITS.aliasedNodes && before <= LIMITS.aliasedNodes && walk.inAlias === 0) {
    report(walk, node, 'alias-too-large', `the aliases unfold to more than ${LIMITS.aliasedNodes} values`);
  }
  return data;
}

function mapData(map: YAMLMap<Node, Node>, walk: Walk, depth: number): PlainMap {
  const own = plainMap();
  const merged: PlainMap[] = [];
  for (const pair of map.items) {
    const key = keyText(pair);
    const value = nodeData(pair.value, walk, depth + 1);
    if (key === '<<' && isMergeKey(pair)) merged.push(...mergeSources(pair, value, walk));
    else if (!Object.hasOwn(own, key)) own[key] = value;
  }
  if (merged.length === 0) return own;
  const all = plainMap();
  for (const source of merged.reverse()) Object.assign(all, source); // the first source wins over later ones
  return Object.assign(all, own);
}

/** Text of a key. */
export function keyText(pair: Pair<unknown, unknown>): string {
  return isScalar(pair.key) ? String(pair.key.value) : String(pair.key);
}

/** A plain `<<`; in quotes it is a key like any other. */
export function isMergeKey(pair: Pair<unknown, unknown>): boolean {
  return isScalar(pair.key) && pair.key.value === '<<' && (pair.key.type ?? 'PLAIN') === 'PLAIN';
}

function mergeSources(pair: Pair<Node, Node>, value: Plain, walk: Walk): PlainMap[] {
  const sources = Array.isArray(value) ? value : [value];
  const maps = sources.filter((s): s is PlainMap => typeof s === 'object' && s !== null && !Array.isArray(s));
  if (maps.length !== sources.length && pair.value !== null && walk.problems.length === 0) {
    report(walk, pair.value, 'value-type', 'a merge key takes a mapping or a list of mappings');
  }
  return maps;
}

function report(walk: Walk, node: Node, code: string, message: string): void {
  const [from, to] = node.range ?? [0, 0];
  walk.problems.push({ code, message, help: null, from, to });
}
