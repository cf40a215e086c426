import { closeSync, fstatSync, openSync } from 'node:fs';
import { dirname } from 'node:path';
import { withFileLock, writeToDisk } from './file-lock.ts';
import { readUpTo } from './read-up-to.ts';
import { syncFolder } from './sync-folder.ts';

/** What became of an append. */
export interface Appended {
  /** The header that stands in the file instead; null when the line was written. */
  readonly otherHeader: string | null;
  /** Line, from 1, whose end was missing because writing it was interrupted; null where there is none. */
  readonly openLine: number | null;
}

/**
 * Adds one line to a log with a header, which is created when missing or empty.
 *
 * What is there is never rewritten. Header and line go out in one write at the end of the file, under a lock against a second writer,
 * and are on the disk when the call returns. A last line without its end (its writer was killed, the disk was full) is left alone and
 * gets the end it lacks, so that the new line does not run into it. A file with another header is not touched.
 * Throws: RangeError for texts of several lines; LockedError; what the system throws.
 */
export function appendLog(path: string, header: string, line: string): Appended {
  if (/[\r\n]/.test(header + line)) throw new RangeError('a line to append has no line break in it');
  return withFileLock(path, () => {
    const descriptor = openSync(path, 'a+');
    try {
      return append(descriptor, dirname(path), header, line);
    } finally {
      closeSync(descriptor);
    }
  });
}

function append(descriptor: number, folder: string, header: string, line: string): Appended {
  const stat = fstatSync(descriptor);
  // What a pipe or a device takes cannot be read again.
  if (!stat.isFile()) throw Object.assign(new Error(), { code: 'ENOTREG', syscall: 'open' });
  const { size } = stat;
  if (size === 0) {
    writeToDisk(descriptor, `${header}\n${line}\n`);
    syncFolder(folder);
    return { otherHeader: null, openLine: null };
  }
  const text = readUpTo(descriptor, size).toString('utf8');
  const found = text.replace(/^\ufeff/, '').split(/\r?\n/, 1)[0]!;
  if (found !== header) return { otherHeader: found, openLine: null };
  const open = !text.endsWith('\n');
  const end = /^[^\n]*\r\n/.test(text) ? '\r\n' : '\n'; // as the header ends
  writeToDisk(descriptor, `${open ? end : ''}${line}${end}`);
  const openLine = open && text.includes('\n') ? text.split('\n').length : null;
  return { otherHeader: null, openLine };
}
