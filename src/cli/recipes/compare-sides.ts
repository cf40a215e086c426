import { resolve } from 'node:path';
import { gitMergeBase, gitTop } from '../../files/git.ts';
import { type GitFileSystem, gitFileSystem } from '../../files/git-file-system.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import type { Call } from '../terminal/command.ts';
import { CallFileError, UsageError } from '../terminal/exit-status.ts';
import { findRecipes } from './find-recipes.ts';
import { withGit } from './git-call.ts';
import { hasRecipeKey } from './has-recipe-key.ts';

/** One side of a comparison. */
export interface Side {
  /** How it is called: a revision, a path, `work tree`. */
  readonly name: string;
  readonly files: FileSystem;
  /** Path of each recipe by what pairs it with the other side. */
  readonly recipes: ReadonlyMap<string, string>;
}

export interface Sides {
  readonly old: Side;
  readonly new: Side;
  /** True where a path means the same file on both sides, so that files can be compared by name. */
  readonly samePaths: boolean;
}

const WORK_TREE = 'work tree';

/**
 * The sides that the arguments name: `A..B` and `A...B` (from where they parted), one revision (against the work tree), two
 * files, two folders, or two revisions. What exists as a path is a path.
 * Throws: UsageError for other pairs and for revisions that are none; CallFileError where git cannot be run.
 */
export async function compareSides(call: Call): Promise<Sides> {
  const [first = '', second] = call.args;
  if (call.args.length > 2) throw new UsageError('compare takes two names: old and new');
  if (second === undefined) return oneName(call, first);
  const [a, b] = [call.io.kindOf(first), call.io.kindOf(second)];
  if (a === null && b === null) return revisions(call, first, second);
  if (a === null) throw noPath(first, second);
  if (b === null) throw noPath(second, first);
  if (a !== b) throw new UsageError(`${first} is a ${a} and ${second} a ${b}: compare two files or two folders`);
  return { old: await pathSide(call, first), new: await pathSide(call, second), samePaths: false };
}

function noPath(missing: string, there: string): Error {
  return new CallFileError(
    `${missing}: there is no such file or folder\n(a revision is compared as a whole: ${missing} alone, or with --only ${there})`,
  );
}

async function oneName(call: Call, name: string): Promise<Sides> {
  if (call.io.kindOf(name) !== null) {
    throw new UsageError(`compare needs what to compare ${name} with: a second path; or one revision, such as HEAD`);
  }
  const [, from = '', dots, to = ''] = /^(.*?)(\.{2,3})(.*)$/.exec(name) ?? [];
  if (dots === undefined) {
    return { old: revisionSide(call, name, name), new: await workSide(call), samePaths: true };
  }
  const [a, b] = [from || 'HEAD', to || 'HEAD'];
  if (dots === '..') return revisions(call, a, b);
  const base = withGit(() => gitMergeBase(gitTop(call.io.currentFolder), a, b));
  if (base === null) throw new UsageError(`${name}: the two have no common history`);
  return { old: revisionSide(call, base, `${a}...`), new: revisionSide(call, b, b), samePaths: true };
}

function revisions(call: Call, a: string, b: string): Sides {
  return { old: revisionSide(call, a, a), new: revisionSide(call, b, b), samePaths: true };
}

/** The recipes of a revision in the current folder and below, as a folder of the work tree would be read. */
function revisionSide(call: Call, revision: string, name: string): Side {
  return withGit(() => {
    const files = gitFileSystem(call.io.currentFolder, revision);
    const recipes = [...namesBelow(call, files)].filter(path => hasRecipeKey(files.readBytes(path)));
    return { name, files, recipes: new Map(recipes.map(path => [path, path])) };
  });
}

function* namesBelow(call: Call, files: GitFileSystem): Iterable<string> {
  const start = files
    .realPath(call.io.currentFolder)
    .slice(files.top.length + 1)
    .replaceAll('\\', '/');
  const prefix = start === '' ? '' : `${start}/`;
  for (const path of files.paths) {
    const name = path.slice(prefix.length);
    if (!path.startsWith(prefix) || !/\.ya?ml$/i.test(name) || files.contentId(name) === null) continue;
    if (!/(?:^|\/)(?:\.|node_modules\/)/.test(name) && isSelected(call, name)) yield name;
  }
}

async function workSide(call: Call): Promise<Side> {
  const recipes = (await recipesIn(call, '.')).filter(path => isSelected(call, path));
  return { name: WORK_TREE, files: call.io.files, recipes: new Map(recipes.map(path => [path, path])) };
}

/** `--only`: a file or a folder. */
function isSelected(call: Call, path: string): boolean {
  const only = (call.flags['only'] as string[] | undefined) ?? [];
  const clean = only.map(folder => folder.replace(/^(?:\.\/)+/, '').replace(/\/+$/, ''));
  return clean.length === 0 || clean.some(name => name === '.' || path === name || path.startsWith(`${name}/`));
}

/** A file pairs with the other file; a recipe of a folder with the one at the same place in the other folder. */
async function pathSide(call: Call, path: string): Promise<Side> {
  const { io } = call;
  if (io.kindOf(path) === 'file') return { name: path, files: io.files, recipes: new Map([['', path]]) };
  const base = resolve(io.currentFolder, path);
  const found = await recipesIn(call, path);
  const keys = found.map((file): [string, string] => [resolve(io.currentFolder, file).slice(base.length + 1), file]);
  return { name: path, files: io.files, recipes: new Map(keys) };
}

/** A side without recipes is one whose recipes were all added or removed. */
async function recipesIn(call: Call, folder: string): Promise<string[]> {
  try {
    return (await findRecipes([folder], call.io)).recipes.map(({ file }) => file);
  } catch (thrown) {
    if (thrown instanceof UsageError) return [];
    throw thrown;
  }
}
