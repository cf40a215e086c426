import { choice, didYouMean } from '../../diagnostics/suggestion.ts';
import type { RawIssue } from '../schema/field.ts';
import { type Path, pathText } from '../yaml/path.ts';
import { foundText, isPlainMap, type Plain, plainAt } from '../yaml/plain-data.ts';
import type { Issue } from './issue.ts';
import { issue } from './issue.ts';

/** The format's issues in our words: found, expected, what to do. */
export function schemaIssues(raw: readonly RawIssue[], data: Plain): Issue[] {
  return raw.flatMap(one => issuesOf(one, (one.path ?? []) as Path, data));
}

function issuesOf(raw: RawIssue, path: Path, data: Plain): Issue[] {
  const found = foundAt(data, path);
  switch (raw.code) {
    case 'custom':
      return [customIssue(raw, path)];
    case 'unrecognized_keys': {
      const keys = (raw as { keys: string[] }).keys;
      const allowed = shapeKeys(raw.inst);
      return keys.map(key => unknownKey(key, path, allowed));
    }
    case 'invalid_union':
      return [unionIssue(raw, path, data)];
    case 'invalid_value': {
      const values = (raw as { values: unknown[] }).values.map(String);
      return [valueIssue(path, found, values)];
    }
    case 'invalid_type':
      if (found === undefined) return [missing(path)];
      return [issue('value-type', path, `found ${foundText(found)}, expected ${expectedType(raw)}`)];
    default:
      return [sizeIssue(raw, path, found)];
  }
}

/** What stands at a path; a key that is null is absent. */
function foundAt(data: Plain, path: Path): Plain | undefined {
  const found = plainAt(data, path);
  return found === null && typeof path.at(-1) === 'string' ? undefined : found;
}

function customIssue(raw: RawIssue, path: Path): Issue {
  const params = (raw as { params?: { code: string; help: string | null; at: 'key' | 'value' } }).params;
  if (params === undefined) return issue('value-type', path, raw.message ?? 'is wrong');
  if (params.code === 'key-missing' && raw.message === 'is missing') return missing(path);
  return { code: params.code, message: raw.message ?? '', help: params.help, path, at: params.at };
}

function missing(path: Path): Issue {
  const key = String(path.at(-1) ?? '');
  const where = path.length < 2 ? 'the recipe' : pathText(path.slice(0, -1));
  const help = key === 'recipe' && path.length === 1 ? 'write "recipe: 1", the version of the format' : `add ${key}`;
  return issue('key-missing', path, `"${key}" is missing in ${where}`, help);
}

function unknownKey(key: string, path: Path, allowed: readonly string[]): Issue {
  const where = path.length === 0 ? 'a recipe' : pathText(path);
  const keys = allowed.filter(k => k !== 'name' && k !== 'notes');
  const help = didYouMean(key, allowed) ?? `keys that will do: ${keys.join(', ')}`;
  return { code: 'key-unknown', message: `"${key}" is not a key of ${where}`, help, path: [...path, key], at: 'key' };
}

function shapeKeys(inst: unknown): string[] {
  const shape = (inst as { _zod?: { def?: { shape?: object } } } | undefined)?._zod?.def?.shape;
  return shape === undefined ? [] : Object.keys(shape);
}

function unionIssue(raw: RawIssue, path: Path, data: Plain): Issue {
  const discriminator = (raw as { discriminator?: string }).discriminator ?? 'model';
  const at = path.at(-1) === discriminator ? path : [...path, discriminator];
  const found = foundAt(data, at);
  const options = ((raw as { options?: unknown[] }).options ?? []).map(String);
  if (found === undefined) {
    const absent = missing(at);
    return options.length === 0 ? absent : { ...absent, help: `${discriminator}: ${choice(options)}` };
  }
  return valueIssue(at, found, options);
}

function valueIssue(path: Path, found: unknown, values: readonly string[]): Issue {
  if (found === undefined) return missing(path);
  if (path.length === 1 && path[0] === 'recipe') {
    const help = 'this version reads format 1: write "recipe: 1"';
    return issue('version-unsupported', path, `found recipe: ${foundText(found)}, expected 1`, help);
  }
  const now = typeof found === 'string' ? RENAMED.get(found) : undefined;
  if (now !== undefined && values.includes(now)) {
    return issue('value-unknown', path, `found ${foundText(found)}, expected ${choice(values)}`, `write ${now}`);
  }
  const near = typeof found === 'string' ? didYouMean(found, values) : null;
  return issue('value-unknown', path, `found ${foundText(found)}, expected ${choice(values)}`, near);
}

/** Words of the format that were called otherwise once, by that name. */
const RENAMED: ReadonlyMap<string, string> = new Map([['timed', 'by_dwell']]);

const TYPES: Readonly<Record<string, string>> = {
  object: 'a mapping',
  array: 'a list',
  tuple: 'a list',
  string: 'a text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
};

function expectedType(raw: RawIssue): string {
  const expected = String((raw as { expected?: unknown }).expected);
  return TYPES[expected] ?? expected;
}

function sizeIssue(raw: RawIssue, path: Path, found: unknown): Issue {
  const { minimum, maximum } = raw as { minimum?: number; maximum?: number };
  const bound = minimum === undefined ? `at most ${maximum}` : `at least ${minimum}`;
  if (Array.isArray(found)) return issue('value-type', path, `found a list of ${found.length}, expected ${bound}`);
  if (isPlainMap(found)) return issue('value-type', path, 'the mapping does not fit');
  return issue('value-range', path, `${foundText(found)} is out of range: must be ${bound}`);
}
