import { dirname, join } from 'node:path';
import { FileError } from '../diagnostics/file-error.ts';
import { byPosition, type Diagnostic, type Finding, type Place, placed } from '../diagnostics/finding.ts';
import { loadEngine } from '../units/engine.ts';
import { checkData } from './check-data.ts';
import { recipeDigest, sha256 } from './digest.ts';
import type { FileSystem } from './file-system.ts';
import { type Issue, placedIssue } from './issue.ts';
import { LoadCache } from './load-cache.ts';
import { type Origin, originAt } from './origin.ts';
import { type Override, parseOverrides, withOverride } from './overrides.ts';
import { PartFiles } from './part-files.ts';
import { type Path, parsePath } from './path.ts';
import type { Plain } from './plain-data.ts';
import type { Recipe } from './recipe.ts';
import { type Merged, PartResolver, withoutNulls } from './resolve-parts.ts';
import { MOST_BYTES, SourceFile } from './source-file.ts';

export { FileError } from '../diagnostics/file-error.ts';

export interface LoadOptions {
  /** Folder that `from` may not leave; the nearest one above with a `.git` without. */
  readonly root?: string;
  /** Overrides `path=value`, in order. */
  readonly set?: readonly string[];
  /** What loads have in common while no file changes: parts that were read already, roots of folders. */
  readonly cache?: LoadCache;
}

export interface LoadedRecipe {
  /** As named in the call. */
  readonly file: string;
  /** Null when the file has an error. */
  readonly recipe: Recipe | null;
  /** What is wrong with the file, by position. */
  readonly diagnostics: readonly Diagnostic[];
  /** SHA-256 [hex] of the checked inputs; of the text when there is no recipe. */
  readonly digest: string;
  /** Every file that was read, the recipe first. */
  readonly files: readonly string[];
  /** Place of the value at a path, or of the nearest one above it; null is the whole file. */
  place(path: string | null): Place;
  /** The data after `from` and overrides, before they were checked. */
  readonly data: Plain;
}

/**
 * The recipe of a file, in SI, with everything that is wrong with it.
 * Throws: FileError when the file itself cannot be read; a part that cannot be read is a finding.
 */
export async function loadRecipe(file: string, fs: FileSystem, options: LoadOptions = {}): Promise<LoadedRecipe> {
  let bytes: Uint8Array;
  let real: string;
  try {
    real = fs.realPath(file);
    bytes = fs.readBytes(file, MOST_BYTES + 1);
  } catch (cause) {
    throw cause instanceof FileError ? cause : new FileError(file, cause);
  }
  return load(SourceFile.fromBytes(file, bytes), real, fs, options);
}

/**
 * As `loadRecipe`, of a text that stands in no file of its own (standard input, an editor). `from` is relative to
 * `folder`.
 */
export async function parseRecipe(
  text: string | Uint8Array,
  file: string,
  fs: FileSystem,
  options: LoadOptions & { readonly folder?: string } = {},
): Promise<LoadedRecipe> {
  const source = typeof text === 'string' ? SourceFile.fromText(file, text) : SourceFile.fromBytes(file, text);
  let folder = options.folder ?? '.';
  try {
    folder = fs.realPath(folder);
  } catch {
    // Without a folder nothing can be found beside the text; a `from` in it says so.
  }
  return load(source, join(folder, '\u0000text'), fs, options);
}

async function load(main: SourceFile, real: string, fs: FileSystem, options: LoadOptions): Promise<LoadedRecipe> {
  const diagnostics: Diagnostic[] = [...main.diagnostics];
  const cache = options.cache ?? new LoadCache();
  const parts = new PartFiles(fs, rootOf(real, fs, options.root, cache), cache);
  const { merged, more, incomplete } = mergedData(main, real, parts, options.set ?? []);
  diagnostics.push(...more);
  const data = withoutNulls(merged.data);
  const readable = main.diagnostics.every(d => d.code === 'yaml-duplicate-key');
  const recipe = readable ? await checked(data, merged.origin, incomplete, diagnostics) : null;
  const sound = diagnostics.length === 0 ? recipe : null;
  let digest: string | null = null;
  return {
    file: main.name,
    recipe: sound,
    diagnostics: diagnostics.sort(byPosition),
    // Most callers never ask; and hashing is work.
    get digest() {
      digest ??= sound === null ? sha256(main.text) : recipeDigest(sound);
      return digest;
    },
    files: [main.name, ...parts.names],
    place: path => placeOf(path, main, merged.origin),
    data,
  };
}

function rootOf(real: string, fs: FileSystem, root: string | undefined, cache: LoadCache): string {
  if (root === undefined) return cache.root(dirname(real), fs);
  try {
    return fs.realPath(root);
  } catch (cause) {
    throw new FileError(root, cause);
  }
}

/** The data with every `from` followed and every override in place. */
function mergedData(main: SourceFile, real: string, parts: PartFiles, set: readonly string[]) {
  const { overrides, diagnostics } = parseOverrides(set);
  const more = [...diagnostics];
  const apply = (merged: Merged, override: Override): Merged => {
    const changed = withOverride(merged, override);
    if (typeof changed !== 'string') return changed;
    const at = override.source.place([], 'value');
    const code = 'override-invalid';
    more.push({
      code,
      severity: 'error',
      message: changed,
      ...at,
      path: null,
      help: 'name a path that the recipe has',
    });
    return merged;
  };
  const namesPart = (o: Override) => o.path.at(-1) === 'from';
  let merged: Merged = { data: main.data, origin: { source: main, path: [] } };
  merged = overrides.filter(namesPart).reduce(apply, merged);
  const resolver = new PartResolver(parts);
  merged = resolver.resolve(merged, { file: main, real }, [], []);
  more.push(...resolver.diagnostics);
  merged = overrides.filter(o => !namesPart(o)).reduce(apply, merged);
  return { merged, more, incomplete: resolver.incomplete };
}

async function checked(
  data: Plain,
  origin: Origin,
  incomplete: readonly Path[],
  diagnostics: Diagnostic[],
): Promise<Recipe | null> {
  const sourceOf = (path: Path, text: string) => {
    // The same path in the file, unless `from` or an override came between.
    if (origin.children === undefined && origin.path.length === 0) return origin.source.identity(path, text);
    const at = originAt(origin, path);
    return at.source.identity(at.path);
  };
  let result = checkData(data, sourceOf);
  if (result.engineNeeded) {
    await loadEngine();
    result = checkData(data, sourceOf);
  }
  const consequence = (i: Issue) =>
    i.code === 'key-missing' && incomplete.some(path => path.every((step, k) => i.path[k] === step));
  diagnostics.push(...result.issues.filter(i => !consequence(i)).map(i => placedIssue(i, origin)));
  return result.recipe;
}

function placeOf(path: string | null, main: SourceFile, origin: Origin): Place {
  const steps = path === null || path === '' ? null : parsePath(path);
  if (steps === null) return { file: main.name, line: 1, column: 1, end_line: 1, end_column: 1 };
  const { source, path: inner } = originAt(origin, steps);
  return source.place(inner, 'value');
}

/** Findings with the places of their values, by position. */
export function placeFindings(loaded: LoadedRecipe, findings: readonly Finding[]): Diagnostic[] {
  return findings.map(f => placed(f, loaded.place(f.path))).sort(byPosition);
}
