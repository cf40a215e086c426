import { resolve } from 'node:path';
import { type LoadedRecipe, type LoadOptions, loadRecipe, parseRecipe } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { MOST_BYTES } from '../../recipe/yaml/source-file.ts';
import { CallFileError, UsageError } from '../terminal/exit-status.ts';
import type { CliIo } from '../terminal/io.ts';
import { hasRecipeKey } from './has-recipe-key.ts';

export interface FoundRecipes {
  readonly recipes: readonly RecipeInput[];
  /** True when one file (or standard input) was named: its JSON is an object, everything else an array. */
  readonly single: boolean;
  /** YAML files in folders and patterns that have no `recipe:` key: parts that recipes start from. */
  readonly leftOut: readonly string[];
}

export interface RecipeInput {
  readonly file: string;
  /** Where its text, and what it starts from, can be read. */
  readonly files: FileSystem;
  load(options: LoadOptions): Promise<LoadedRecipe>;
}

const STDIN = '-';
const PATTERN = /[*?[\]{}!]/;
/** Systems that write names in capitals are about. */
const YAML_BELOW = '**/*.{[yY][aA][mM][lL],[yY][mM][lL]}';

/**
 * The recipes that paths, folders, patterns and `-` name, in the order given, each once. In folders and patterns a YAML
 * file counts as a recipe when it has a `recipe:` key at its top level; a file that is named counts in any case.
 * Throws: CallFileError for a path that does not exist; UsageError when a folder or pattern has no recipe.
 */
export async function findRecipes(paths: readonly string[], io: CliIo): Promise<FoundRecipes> {
  requireAll(paths, io);
  const recipes = new Map<string, RecipeInput>();
  const leftOut: string[] = [];
  for (const path of paths) {
    if (path === STDIN) recipes.set(STDIN, await stdinRecipe(io));
    else if (io.kindOf(path) === 'file') recipes.set(resolve(io.currentFolder, path), fileRecipe(path, io.files));
    else await addMatches(path, io, recipes, leftOut);
  }
  const [first] = paths;
  const single = paths.length === 1 && first !== undefined && (first === STDIN || io.kindOf(first) === 'file');
  return { recipes: [...recipes.values()], single, leftOut };
}

/** All paths that do not exist, at once. */
export function requireAll(paths: readonly string[], io: CliIo): void {
  const missing = paths.filter(path => path !== STDIN && !PATTERN.test(path) && io.kindOf(path) === null);
  if (missing.length === 0) return;
  throw new CallFileError(
    missing.map(path => `${path === '' ? 'an empty path' : path}: there is no such file or folder`).join('\nerror: '),
  );
}

async function addMatches(
  path: string,
  io: CliIo,
  recipes: Map<string, RecipeInput>,
  leftOut: string[],
): Promise<void> {
  const found = await yamlFiles(path, io);
  let count = 0;
  for (const file of found) {
    if (hasRecipeKey(io.files.readBytes(file, MOST_BYTES + 1))) {
      count += 1;
      const key = resolve(io.currentFolder, file);
      if (!recipes.has(key)) recipes.set(key, fileRecipe(file, io.files));
    } else leftOut.push(file);
  }
  if (count === 0) throw noRecipe(path, found.length, io);
}

/** YAML files of a folder or a pattern, recipes and parts, in order. */
export async function yamlFiles(path: string, io: CliIo): Promise<string[]> {
  const folder = io.kindOf(path) === 'folder';
  const found = await (folder ? io.glob(YAML_BELOW, path) : io.glob(path, '.'));
  if (found === null) {
    const much = 'more files and folders than a search may meet';
    throw new UsageError(`${path}: ${much}; name the folder in which the recipes are`);
  }
  if (!folder) return found.filter(file => /\.ya?ml$/i.test(file));
  return path === '.' ? found : found.map(file => `${path.replace(/\/+$/, '')}/${file}`);
}

/** That a folder or pattern has YAML files, or none, but no recipe. */
export function noRecipe(path: string, files: number, io: CliIo): UsageError {
  const rest = files === 0 ? '' : ` (${files} YAML ${files === 1 ? 'file' : 'files'} without a \`recipe:\` key)`;
  return new UsageError(`${path}: no recipe in this ${io.kindOf(path) === 'folder' ? 'folder' : 'pattern'}${rest}`);
}

/** True for a path that names neither a file nor standard input. */
export function isFolderOrPattern(path: string, io: CliIo): boolean {
  return path !== STDIN && io.kindOf(path) !== 'file';
}

function fileRecipe(file: string, files: FileSystem): RecipeInput {
  return { file, files, load: options => loadRecipe(file, files, options) };
}

/** Standard input as a text of the current folder, so that its `from` starts there. */
async function stdinRecipe(io: CliIo): Promise<RecipeInput> {
  const bytes = await io.readStdin(MOST_BYTES + 1);
  const files = withFile(io.files, STDIN, bytes);
  return {
    file: STDIN,
    files,
    load: options => parseRecipe(bytes, STDIN, io.files, { ...options, folder: io.currentFolder }),
  };
}

/** A file system in which one file has been read already. */
export function withFile(files: FileSystem, file: string, bytes: Uint8Array): FileSystem {
  return {
    readBytes: (path, most) => (path === file ? bytes : files.readBytes(path, most)),
    realPath: path => files.realPath(path),
    exists: path => files.exists(path),
  };
}
