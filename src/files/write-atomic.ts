import {
  chmodSync,
  closeSync,
  fsyncSync,
  openSync,
  realpathSync,
  renameSync,
  statSync,
  unlinkSync,
  writeFileSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { syncFolder } from './sync-folder.ts';
import { writeThrough } from './write-through.ts';

/**
 * Writes a whole file or none of it: into a new file beside it, to the disk, then renamed over it. A reader sees the old
 * content or the new, and a full disk leaves the old. The permissions of a file that is replaced are kept, and a link
 * stays a link: its target is replaced.
 * Throws: what the system throws; the new file is then removed.
 */
export function writeAtomic(path: string, content: string | Uint8Array): void {
  const target = existingTarget(path);
  const kept = statSync(target, { throwIfNoEntry: false });
  if (kept !== undefined && !kept.isFile()) {
    // A device or a pipe (/dev/stdout) takes the bytes itself; a folder makes the system complain.
    writeThrough(target, content);
    return;
  }
  const beside = freshFile(target, kept?.mode ?? 0o666);
  try {
    writeAndSync(beside, content);
    if (kept !== undefined) chmodSync(beside.path, kept.mode & 0o7777);
    renameSync(beside.path, target);
  } catch (cause) {
    removeQuietly(beside.path);
    throw cause;
  }
  syncFolder(dirname(target));
}

interface OpenFile {
  readonly path: string;
  readonly descriptor: number;
}

function existingTarget(path: string): string {
  try {
    // Node's own way there makes a path of the name that a pipe has in /proc.
    return realpathSync.native(path);
  } catch {
    return path;
  }
}

/** A file of that name that did not exist before; the number only grows while others hold the name. */
function freshFile(target: string, mode: number): OpenFile {
  for (let attempt = 0; ; attempt++) {
    const path = join(dirname(target), `.${basename(target)}.${process.pid}-${attempt}.tmp`);
    try {
      return { path, descriptor: openSync(path, 'wx', mode & 0o777) };
    } catch (cause) {
      if ((cause as NodeJS.ErrnoException).code !== 'EEXIST' || attempt > 100) throw cause;
    }
  }
}

function writeAndSync({ descriptor }: OpenFile, content: string | Uint8Array): void {
  try {
    writeFileSync(descriptor, content);
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

function removeQuietly(path: string): void {
  try {
    unlinkSync(path);
  } catch {
    // What went wrong before is what the caller has to hear.
  }
}
