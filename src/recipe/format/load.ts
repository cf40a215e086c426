import { join } from 'node:path';
import { FileError } from '../../diagnostics/file-error.ts';
import { byPosition, type Diagnostic, type Finding, type Place, placed } from '../../diagnostics/finding.ts';
import { loadEngine } from '../../units/engine.ts';
import { checkBlocks, checkData } from '../build/check-data.ts';
import { type Issue, placedIssue } from '../build/issue.ts';
import type { FileSystem } from '../parts/file-system.ts';
import { LoadCache } from '../parts/load-cache.ts';
import { asItStands, type MergedRecipe, merged } from '../parts/merged-recipe.ts';
import { type Origin, originAt } from '../parts/origin.ts';
import type { Recipe } from '../schema/recipe.ts';
import { type Path, parsePath } from '../yaml/path.ts';
import { isPlainMap, type Plain } from '../yaml/plain-data.ts';
import { MOST_BYTES, SourceFile } from '../yaml/source-file.ts';
import { recipeDigest, sha256 } from './digest.ts';

export interface LoadOptions {
  /** Folder that `from` may not leave; the nearest one above with a `.git` without. */
  readonly root?: string;
  /** Overrides `path=value`, in order. */
  readonly set?: readonly string[];
  /** What loads have in common while no file changes: parts, roots of folders, blocks that read the same. */
  readonly cache?: LoadCache;
}

export interface LoadedRecipe {
  /** As named in the call. */
  readonly file: string;
  /** Null when the file has an error. */
  readonly recipe: Recipe | null;
  /** What is wrong with the file, by position. */
  readonly findings: readonly Diagnostic[];
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
  const cache = options.cache ?? new LoadCache();
  const bytes = orFileError(file, () => fs.readBytes(file, MOST_BYTES + 1));
  const main = SourceFile.fromBytes(file, bytes, cache.blocks);
  return load(main, () => orFileError(file, () => fs.realPath(file)), fs, { ...options, cache });
}

function orFileError<T>(file: string, read: () => T): T {
  try {
    return read();
  } catch (cause) {
    throw cause instanceof FileError ? cause : new FileError(file, cause);
  }
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
  const known = options.cache?.blocks;
  const main =
    typeof text === 'string' ? SourceFile.fromText(file, text, known) : SourceFile.fromBytes(file, text, known);
  const real = () => {
    let folder = options.folder ?? '.';
    try {
      folder = fs.realPath(folder);
    } catch {
      // Without a folder nothing can be found beside the text; a `from` in it says so.
    }
    return join(folder, '\u0000text');
  };
  return load(main, real, fs, options);
}

/** `real` is the absolute path of the file, links followed; only what starts `from` elsewhere asks for it. */
async function load(main: SourceFile, real: () => string, fs: FileSystem, options: LoadOptions): Promise<LoadedRecipe> {
  const givenRoot = options.root === undefined ? null : orFileError(options.root, () => fs.realPath(options.root!));
  const set = options.set ?? [];
  const cache = options.cache ?? new LoadCache();
  const settled = new Set<Plain>();
  for (const { block } of main.blocks ?? []) if (block.settled) settled.add(block.value);
  const final = set.length === 0 && main.blocks?.every(({ block }) => block.settled) === true;
  const found = final ? asItStands(main) : merged(main, real(), { fs, root: givenRoot, set, cache, settled });
  const { data, origin, problems, incomplete } = found;

  const sourceOf = sourceIn(main, origin);
  if (main.blocks !== null && problems.length === 0 && isPlainMap(data)) {
    const recipe = checkBlocks(data, main.blocks, cache.sound, sourceOf)?.recipe ?? null;
    if (recipe !== null) return loaded({ ...found, main, recipe, diagnostics: [] });
  }
  const diagnostics = [...main.diagnostics, ...problems];
  const shaped = main.diagnostics.every(d => d.code === 'yaml-duplicate-key');
  const recipe = shaped ? await checked(data, { origin, sourceOf, incomplete }, diagnostics) : null;
  return loaded({ ...found, main, recipe, diagnostics });
}

function loaded(
  found: MergedRecipe & { main: SourceFile; recipe: Recipe | null; diagnostics: Diagnostic[] },
): LoadedRecipe {
  const { main, recipe, diagnostics, origin, parts } = found;
  const sound = diagnostics.length === 0 ? recipe : null;
  let digest: string | null = null;
  return {
    file: main.name,
    recipe: sound,
    findings: diagnostics.sort(byPosition),
    // Most callers ask for neither; and hashing is work.
    get digest() {
      digest ??= sound === null ? sha256(main.text) : recipeDigest(sound);
      return digest;
    },
    data: found.data,
    files: [main.name, ...parts],
    place: path => placeOf(path, main, origin),
  };
}

/** Where the value at a path came from; two paths with the same answer are one value. */
function sourceIn(main: SourceFile, origin: Origin): (path: string) => string {
  return path => {
    const at = originAt(origin, parsePath(path)!);
    const identity = at.source.identity(at.path);
    return at.source === main ? identity.slice(main.name.length + 1) : identity;
  };
}

async function checked(
  data: Plain,
  from: { origin: Origin; sourceOf: (path: string) => string; incomplete: readonly Path[] },
  diagnostics: Diagnostic[],
): Promise<Recipe | null> {
  const { origin, sourceOf, incomplete } = from;
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
