import { type Diagnostic, OVERRIDE_FILE, type Place } from '../../diagnostics/finding.ts';
import { documentData } from '../yaml/document-data.ts';
import { extent, locate, nodeIdentity } from '../yaml/locate.ts';
import { type Path, parsePath, pathText } from '../yaml/path.ts';
import { isPlainMap, type Plain, plainMap } from '../yaml/plain-data.ts';
import type { Source } from '../yaml/source-file.ts';
import { parseYaml } from '../yaml/yaml-text.ts';
import { childOrigin, type Origin } from './origin.ts';
import type { Merged } from './resolve-parts.ts';

/** One `path=value` of the call. */
export interface Override {
  readonly path: Path;
  readonly value: Plain;
  readonly source: Source;
  /** Where a step of its path stands in the option: what the override itself adds to a recipe has no other place. */
  step(index: number): Source;
  /** The whole path in the option. */
  readonly at: Place;
}

/** Overrides of the texts, and what is wrong with those that are none. */
export function parseOverrides(texts: readonly string[]): { overrides: Override[]; diagnostics: Diagnostic[] } {
  const overrides: Override[] = [];
  const diagnostics: Diagnostic[] = [];
  texts.forEach((text, index) => {
    const parsed = parseOverride(text, index);
    if ('code' in parsed) diagnostics.push(parsed);
    else overrides.push(parsed);
  });
  return { overrides, diagnostics };
}

function parseOverride(text: string, index: number): Override | Diagnostic {
  const place = (from: number, to: number): Place => ({
    file: OVERRIDE_FILE,
    line: index + 1,
    column: from + 1,
    end_line: index + 1,
    end_column: Math.max(from, to) + 1,
  });
  const fail = (message: string, from: number, to: number): Diagnostic => ({
    code: 'override-invalid',
    severity: 'error',
    message,
    ...place(from, to),
    path: null,
    help: 'write path=value, such as resin.rheology.viscosity="3 Pa.s"',
  });
  const equals = text.indexOf('=');
  if (equals < 1) return fail(`"${text}" has no path and "="`, 0, text.length);
  const path = parsePath(text.slice(0, equals).trim());
  if (path === null) return fail(`"${text.slice(0, equals)}" is no path of a value`, 0, equals);
  const steps = stepExtents(text.slice(0, equals));
  // An expression starts with "=", which YAML reads as text; the rest is a scalar or a flow collection on one line.
  const padded = ' '.repeat(equals + 1) + text.slice(equals + 1);
  const { document, problems } = parseYaml(padded);
  const { data, problems: more } = documentData(document);
  const first = [...problems, ...more][0];
  if (first !== undefined) return fail(`the value: ${first.message}`, first.from, first.to);
  const source: Source = {
    name: OVERRIDE_FILE,
    place: (inner, what) => {
      if (what === 'key' && inner.length === 0) return place(...steps.at(-1)!);
      const { node, key, depth } = locate(document, inner);
      return place(...extent(what === 'key' && depth === inner.length && key !== null ? key : node, padded));
    },
    identity: inner => `${OVERRIDE_FILE}:${index + 1}#${nodeIdentity(document, inner)}`,
  };
  const step = (i: number): Source => ({
    name: OVERRIDE_FILE,
    place: () => place(...steps[i]!),
    identity: () => `${OVERRIDE_FILE}:${index + 1}#step ${i}`,
  });
  return { path, value: data, source, step, at: place(steps[0]![0], steps.at(-1)![1]) };
}

/** Offsets of every step of a path, without the dots and with the brackets of an index. */
function stepExtents(path: string): [number, number][] {
  return [...path.matchAll(/\[\d+\]|[^.[\]\s]+/g)].map(match => [match.index, match.index + match[0].length]);
}

/** The merged data with the override in it, or why that cannot be. Nothing is changed in place. */
export function withOverride(merged: Merged, override: Override): Merged | string {
  return put(merged, override, 0);
}

function put(merged: Merged, override: Override, depth: number): Merged | string {
  const { path } = override;
  const step = path[depth];
  if (step === undefined) return { data: override.value, origin: { source: override.source, path: [] } };
  const { data, origin } = merged;
  const here = pathText(path.slice(0, depth)) || 'the recipe';
  if (typeof step === 'number') {
    if (!Array.isArray(data)) return `${here} is no list`;
    if (step > data.length) return `${here} has ${data.length} items; ${step} is beyond the next`;
  } else if (Array.isArray(data)) return `${here} is a list: name an item, such as ${here}[0]`;
  const inner = has(data, step)
    ? { data: (data as Record<string | number, Plain>)[step]!, origin: childOrigin(origin, step) }
    : { data: null, origin: { source: override.step(depth), path: [] } };
  const changed = put(inner, override, depth + 1);
  if (typeof changed === 'string') return changed;
  const children = new Map<string | number, Origin>(origin.children ?? []).set(step, changed.origin);
  if (typeof step === 'number') {
    const items = [...(data as Plain[])];
    items[step] = changed.data;
    return { data: items, origin: { ...origin, children } };
  }
  const map = Object.assign(plainMap(), isPlainMap(data) ? data : {});
  map[step] = changed.data;
  return { data: map, origin: { ...origin, children } };
}

/** Whether the recipe has something there; else the override adds it. */
function has(data: Plain, step: string | number): boolean {
  return Array.isArray(data) ? (step as number) < data.length : isPlainMap(data) && Object.hasOwn(data, step);
}
