/** Data of a YAML text, as far as the format knows it. Mappings have no prototype, so `__proto__` is a key like any other. */
export type Plain = null | boolean | number | string | Plain[] | PlainMap;
export interface PlainMap {
  [key: string]: Plain;
}

/** True for a mapping. */
export function isPlainMap(value: unknown): value is PlainMap {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

/** An empty mapping without a prototype. */
export function plainMap(): PlainMap {
  return Object.create(null) as PlainMap;
}

/** The mapping without those of the keys that are null, which counts as absent; the same where there are none. */
export function withoutNulls(map: PlainMap, keys: Readonly<Record<string, unknown>>): PlainMap {
  const nulls = Object.keys(map).filter(key => map[key] === null && Object.hasOwn(keys, key));
  if (nulls.length === 0) return map;
  const out: PlainMap = Object.assign(plainMap(), map);
  for (const key of nulls) delete out[key];
  return out;
}

/** The value at a path, or undefined. */
export function plainAt(data: Plain, path: readonly (string | number)[]): Plain | undefined {
  let at: Plain | undefined = data;
  for (const step of path) {
    if (Array.isArray(at)) at = typeof step === 'number' ? at[step] : undefined;
    else if (isPlainMap(at)) at = Object.hasOwn(at, step) ? at[step] : undefined;
    else return undefined;
  }
  return at;
}

/** What somebody wrote, in a message: `"2 mm"`, `5`, `a list`, `a mapping`, `nothing`. */
export function foundText(value: unknown): string {
  if (value === undefined || value === null) return 'nothing';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a mapping';
  if (typeof value !== 'string') return String(value);
  return `"${value.length > 60 ? `${value.slice(0, 57)}...` : value}"`;
}
