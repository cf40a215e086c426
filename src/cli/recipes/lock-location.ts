import { dirname, relative, resolve, sep } from 'node:path';
import { type LockFile, readLock } from '../../recipe/format/lock-file.ts';
import type { Call } from '../terminal/command.ts';
import { UsageError } from '../terminal/exit-status.ts';

export const DEFAULT_LOCK = 'dwellbook.lock.yaml';

/** The lock file of a call: `--lock`, or the one in the current folder. */
export function lockName(call: Call): string {
  return typeof call.flags['lock'] === 'string' ? call.flags['lock'] : DEFAULT_LOCK;
}

/** The lock file, or null where there is none. Throws: FileError when it cannot be read. */
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
