import { closeSync, existsSync, openSync, readFileSync, readSync, realpathSync, statSync } from 'node:fs';
import type { FileSystem } from '../recipe/file-system.ts';

/** The files of the machine. */
export const nodeFileSystem: FileSystem = {
  readBytes,
  realPath: path => realpathSync.native(path),
  exists: path => existsSync(path),
};

function readBytes(path: string, most?: number): Uint8Array {
  const size = sizeOf(path);
  if (most === undefined) return readFileSync(path);
  const descriptor = openSync(path, 'r');
  try {
    return size === 0 ? readFileSync(descriptor).subarray(0, most) : readUpTo(descriptor, Math.min(size, most));
  } finally {
    closeSync(descriptor);
  }
}

/** As many bytes as the file had when it was looked at, or fewer where it ends before. */
function readUpTo(descriptor: number, most: number): Uint8Array {
  const bytes = Buffer.allocUnsafeSlow(most);
  let done = 0;
  while (done < most) {
    const count = readSync(descriptor, bytes, done, most - done, null);
    if (count === 0) break;
    done += count;
  }
  return bytes.subarray(0, done);
}

/**
 * Size [bytes] of what has an end: a file, or a pipe of the shell's own (`<(...)`, /dev/stdin), which has none. A device or
 * a named pipe may never end, and would hold the program up for ever.
 */
function sizeOf(path: string): number {
  const stat = statSync(path);
  if (stat.isFile() || stat.isDirectory()) return stat.size;
  if (stat.isFIFO() && /^\/(?:dev|proc)\//.test(path)) return 0;
  throw Object.assign(new Error(`${path} is no file`), { code: 'ENOTREG', syscall: 'read', path });
}
