import {
  closeSync,
  fsyncSync,
  linkSync,
  openSync,
  readFileSync,
  renameSync,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { hostname } from 'node:os';

const LOCK_DEFAULTS = {
  /** How long to wait for another writer [ms]. */
  patience: 10_000,
  /** Between two attempts [ms]. */
  pause: 15,
  /** A lock is held for a few milliseconds; one this old was left behind, whoever's it was [ms]. */
  stale: 60_000,
  /** A lock without a name in it: its writer was stopped between making it and signing it [ms]. */
  nameless: 2_000,
} as const;

/** Another writer holds the lock and did not let go. */
export class LockedError extends Error {
  override readonly name = 'LockedError';
}

interface Owner {
  readonly process: number;
  readonly host: string;
}

let taken = 0;

/**
 * Runs `work` while this process alone holds the lock of a file: `<path>.lock`, made exclusively and removed afterwards.
 *
 * A lock left behind by a writer that was killed is taken over: at once where its process is seen to be gone, else (another
 * machine, a process number used again) after {@link LOCK_DEFAULTS}.stale. It is taken by renaming it, so that one of several waiting writers gets it.
 * Throws: LockedError when the lock stays taken; what `work` and the system throw.
 */
export function withFileLock<T>(path: string, work: () => T, patience: number = LOCK_DEFAULTS.patience): T {
  const lock = `${path}.lock`;
  const mark = `${JSON.stringify({ process: process.pid, host: hostname() })} ${++taken}\n`;
  const end = Date.now() + patience;
  while (!acquire(lock, mark)) {
    if (removeStale(lock)) continue;
    if (Date.now() >= end) throw new LockedError(`another process is writing to it (${lock})`);
    sleep(LOCK_DEFAULTS.pause);
  }
  try {
    return work();
  } finally {
    if (textOf(lock) === mark) unlinkQuietly(lock);
  }
}

/** All of a text, onto the disk. What a full disk leaves over is tried again, which tells why it does not fit. */
export function writeToDisk(descriptor: number, text: string): void {
  const bytes = Buffer.from(text, 'utf8');
  for (let done = 0; done < bytes.length; ) done += writeSync(descriptor, bytes, done);
  fsyncSync(descriptor);
}

function acquire(lock: string, mark: string): boolean {
  let descriptor: number;
  try {
    descriptor = openSync(lock, 'wx');
  } catch (cause) {
    if (codeOf(cause) === 'EEXIST') return false;
    throw cause;
  }
  try {
    writeToDisk(descriptor, mark);
  } catch (cause) {
    unlinkQuietly(lock); // a full disk: a lock without a name would keep the next writer waiting
    throw cause;
  } finally {
    closeSync(descriptor);
  }
  return true;
}

/** Removes a lock whose owner is gone; true when it is worth trying again at once. */
function removeStale(lock: string): boolean {
  const stat = statSync(lock, { throwIfNoEntry: false });
  if (stat !== undefined && !stat.isFile()) return false; // none of ours; reading it might never end
  const text = textOf(lock);
  if (text === null) return true; // let go in the meantime
  if (!isStale(lock, text)) return false;
  const aside = `${lock}.${process.pid}-${++taken}`;
  try {
    renameSync(lock, aside);
  } catch {
    return true; // another writer was faster
  }
  // Between reading and renaming the lock may have become another writer's: then it goes back.
  if (textOf(aside) !== text) {
    try {
      linkSync(aside, lock);
    } catch {
      // Somebody holds it again; the rows themselves are written in one piece in any case.
    }
  }
  unlinkQuietly(aside);
  return true;
}

function isStale(lock: string, text: string): boolean {
  const owner = ownerOf(text);
  if (owner !== null && owner.host === hostname() && !isAlive(owner.process)) return true;
  const made = statSync(lock, { throwIfNoEntry: false })?.mtimeMs;
  return made !== undefined && Date.now() - made > (owner === null ? LOCK_DEFAULTS.nameless : LOCK_DEFAULTS.stale);
}

function ownerOf(text: string): Owner | null {
  const [, number, host] = /^\{"process":(\d+),"host":"([^"\\]*)"\}/.exec(text) ?? [];
  return number === undefined || host === undefined ? null : { process: Number(number), host };
}

function isAlive(id: number): boolean {
  try {
    process.kill(id, 0);
    return true;
  } catch (cause) {
    return codeOf(cause) !== 'ESRCH';
  }
}

function textOf(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch {
    return null;
  }
}

function unlinkQuietly(path: string): void {
  try {
    unlinkSync(path);
  } catch {
    // It is gone already.
  }
}

function codeOf(cause: unknown): string | undefined {
  return (cause as NodeJS.ErrnoException).code;
}

function sleep(milliseconds: number): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, milliseconds);
}
