import { dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { type LockFile, readLock } from '../../recipe/format/lock-file.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

export const DEFAULT_LOCK = 'dwellbook.lock.yaml';

/** Names that a lock file has where nobody says another. */
const LOCK_NAMES = [DEFAULT_LOCK, 'dwellbook.lock'];

/**
 * The lock file of a call: `--lock`; else the one in the current folder; else the nearest one in or above the recipes
 * named first, below the current folder. Where there is none: the one in the current folder, to be written.
 */
export function lockName(call: Call): string {
  if (typeof call.flags['lock'] === 'string') return call.flags['lock'];
  const known = FOUND.get(call);
  if (known !== undefined) return known;
  const name = foundLock(call);
  FOUND.set(call, name);
  return name;
}

/** Asked for with every recipe of a call. */
const FOUND = new WeakMap<Call, string>();

function foundLock(call: Call): string {
  const isFile = (name: string) => call.io.kindOf(name) === 'file';
  return (
    foldersOf(call)
      .flatMap(folder => LOCK_NAMES.map(name => join(folder, name)))
      .find(isFile) ?? DEFAULT_LOCK
  );
}

/** The current folder, then those from what is named first up to it; patterns and what stands elsewhere have none. */
function foldersOf({ args, io }: Call): string[] {
  const [first] = args;
  const folders = ['.'];
  if (first === undefined) return folders;
  const from = relative(io.currentFolder, resolve(io.currentFolder, first));
  if (from === '' || from === '..' || from.startsWith(`..${sep}`) || isAbsolute(from)) return folders;
  for (let at = io.kindOf(from) === 'file' ? dirname(from) : from; at !== '.'; at = dirname(at)) folders.push(at);
  return folders;
}

/** The lock file, or null where there is none. Throws: CallFileError when it cannot be read. */
export function openLock(call: Call): LockFile | null {
  const name = lockName(call);
  return call.io.kindOf(name) === null ? null : readLock(name, call.io.files.readBytes(name));
}

/** Path of a recipe as the lock file has it: from the folder of that file, with slashes. */
export function lockPath(call: Call, file: string): string {
  const { currentFolder } = call.io;
  const folder = dirname(resolve(currentFolder, lockName(call)));
  return relative(folder, resolve(currentFolder, file)).split(sep).join('/');
}

/** Path from the current folder of what the lock file names. */
export function fileOfLock(call: Call, path: string): string {
  return resolve(call.io.currentFolder, dirname(lockName(call)), path);
}

/** Throws: UsageError for recipes that stand in no file, or are not what the file says. */
export function requireFiles(call: Call, what: string): void {
  if (call.args.includes('-')) throw new UsageError(`${what} needs files; the recipe comes from standard input`);
  if (call.set.length > 0) throw new UsageError(`${what} and --set exclude each other: change the value in the file`);
}
