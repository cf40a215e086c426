import type { Diagnostic } from '../../diagnostics/finding.ts';
import { finding, placed } from '../../diagnostics/finding.ts';
import { type Path, pathText } from '../yaml/path.ts';
import { foundText, isPlainMap, type Plain, type PlainMap, plainMap } from '../yaml/plain-data.ts';
import type { PartFile } from './load-cache.ts';
import { childOrigin, type Origin } from './origin.ts';
import type { PartFiles } from './part-files.ts';

/** Bounds on what `from` may unfold to. */
const LIMITS = { chain: 32, parts: 2_000, characters: 8_000_000 };

export interface Merged {
  readonly data: Plain;
  readonly origin: Origin;
}

/** Replaces every `from` by the part it names, overridden by the keys beside it. */
export class PartResolver {
  readonly diagnostics: Diagnostic[] = [];
  /** Blocks whose part could not be used: what they lack is no finding of its own. */
  readonly incomplete: Path[] = [];
  private used = 0;
  private characters = 0;

  /** `settled` are data of which it is known that no `from` stands in them. */
  constructor(
    private readonly parts: PartFiles,
    private readonly settled: ReadonlySet<Plain>,
  ) {}

  /** `file` is where the data stand; `chain` the files that are being unfolded, outermost first. */
  resolve(merged: Merged, file: PartFile, chain: readonly string[], path: Path): Merged {
    const { data, origin } = merged;
    if (Array.isArray(data)) return this.resolveList(data, origin, file, chain, path);
    if (!isPlainMap(data)) return merged;
    const own = this.resolveKeys(data, origin, file, chain, path);
    if (!Object.hasOwn(data, 'from') || data['from'] === null) return own;
    const base = this.base(data['from']!, { ...merged, path }, file, chain);
    return base === null ? own : overlay(base, own);
  }

  private resolveList(data: Plain[], origin: Origin, file: PartFile, chain: readonly string[], path: Path): Merged {
    const children = new Map<number, Origin>();
    const items = data.map((item, i) => {
      const before = { data: item, origin: childOrigin(origin, i) };
      const after = this.resolve(before, file, chain, [...path, i]);
      if (after !== before) children.set(i, after.origin);
      return after.data;
    });
    if (children.size === 0) return { data, origin };
    return { data: items, origin: { ...origin, children: new Map([...(origin.children ?? []), ...children]) } };
  }

  private resolveKeys(data: PlainMap, origin: Origin, file: PartFile, chain: readonly string[], path: Path): Merged {
    const children = new Map<string, Origin>();
    let out = data;
    for (const key of Object.keys(data)) {
      const value = data[key]!;
      if (typeof value !== 'object' || value === null || this.settled.has(value)) continue;
      const before = { data: value, origin: childOrigin(origin, key) };
      const after = this.resolve(before, file, chain, [...path, key]);
      if (after.data === value && after.origin === before.origin) continue;
      children.set(key, after.origin);
      if (out === data) out = Object.assign(plainMap(), data);
      out[key] = after.data;
    }
    if (Object.hasOwn(out, 'from')) {
      if (out === data) out = Object.assign(plainMap(), data);
      delete out['from'];
    }
    if (out === data && children.size === 0) return { data, origin };
    return {
      data: out,
      origin:
        children.size === 0 ? origin : { ...origin, children: new Map([...(origin.children ?? []), ...children]) },
    };
  }

  private base(from: Plain, at: Merged & { path: Path }, file: PartFile, chain: readonly string[]): Merged | null {
    const refuse = (code: string, message: string, help: string | null) => {
      const { source, path } = childOrigin(at.origin, 'from');
      const f = finding('error', code, pathText([...at.path, 'from']), message, help);
      this.diagnostics.push(placed(f, source.place(path, 'value')));
      this.incomplete.push(at.path);
      return null;
    };
    if (typeof from !== 'string' || from.trim() === '') {
      return refuse(
        'value-type',
        `found ${foundText(from)}, expected the path of a file`,
        'from: parts/connector.yaml',
      );
    }
    if (++this.used > LIMITS.parts || chain.length > LIMITS.chain) {
      return refuse('from-loop', `parts unfold to more than ${LIMITS.parts} blocks, or ${LIMITS.chain} deep`, null);
    }
    const part = this.parts.open(from.trim(), { name: file.file.name, real: file.real });
    if ('code' in part) return refuse(part.code, part.message, part.help);
    this.characters += part.file.text.length;
    if (this.characters > LIMITS.characters) {
      return refuse('from-loop', `parts unfold to more than ${LIMITS.characters} characters`, null);
    }
    if (chain.includes(part.real) || part.real === file.real) {
      return refuse(
        'from-loop',
        `"${from}" leads back to a file that is being read`,
        'a part may not start from itself',
      );
    }
    for (const d of part.file.diagnostics) if (!this.diagnostics.includes(d)) this.diagnostics.push(d);
    if (part.file.diagnostics.length > 0) this.incomplete.push(at.path);
    const start: Merged = { data: part.file.data, origin: { source: part.file, path: [] } };
    return this.resolve(start, part, [...chain, file.real], at.path);
  }
}

/** `own` over `base`, mappings deeply; a null of `own` removes the key, and is left to the schema where there is none. */
function overlay(base: Merged, own: Merged): Merged {
  if (!isPlainMap(base.data) || !isPlainMap(own.data)) return own;
  const ownKeys = Object.keys(own.data);
  // A part used as it is stays the same object, by which it is known again.
  const data = ownKeys.length === 0 ? base.data : Object.assign(plainMap(), base.data);
  const children = new Map<string, Origin>();
  for (const key of Object.keys(data)) children.set(key, childOrigin(base.origin, key));
  for (const key of ownKeys) {
    const value = own.data[key]!;
    const ownChild = { data: value, origin: childOrigin(own.origin, key) };
    if (value === null && Object.hasOwn(data, key)) {
      delete data[key];
      children.delete(key);
      continue;
    }
    const below = Object.hasOwn(data, key) ? { data: data[key]!, origin: children.get(key)! } : null;
    const merged = below === null ? ownChild : overlay(below, ownChild);
    data[key] = merged.data;
    children.set(key, merged.origin);
  }
  return { data, origin: { source: own.origin.source, path: own.origin.path, children } };
}
