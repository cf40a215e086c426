import { closeSync, existsSync, fstatSync, openSync, readFileSync, realpathSync, statSync } from 'node:fs';
import type { FileSystem } from '../recipe/parts/file-system.ts';
import { readUpTo } from './read-up-to.ts';

/** The files of the machine. */
export const nodeFileSystem: FileSystem = {
  readBytes,
  realPath: path => realpathSync.native(path),
  exists: path => existsSync(path),
  readElsewhere: () => {},
};

function readBytes(path: string, most?: number): Uint8Array {
  requireEnd(path);
  if (most === undefined) return readFileSync(path);
  const descriptor = openSync(path, 'r');
  try {
    // Of what was opened: another file may stand at the path by now, as an editor's save puts it there.
    const { size } = fstatSync(descriptor);
    return size === 0 ? readFileSync(descriptor).subarray(0, most) : readUpTo(descriptor, Math.min(size + 1, most));
  } finally {
    closeSync(descriptor);
  }
}

/**
 * What has an end: a file, or a pipe of the shell's own (`<(...)`, /dev/stdin). A device or a named pipe may never end, and
 * would hold the program up for ever.
 */
function requireEnd(path: string): void {
  const stat = statSync(path);
  if (stat.isFile() || stat.isDirectory() || (stat.isFIFO() && /^\/(?:dev|proc)\//.test(path))) return;
  throw Object.assign(new Error(`${path} is no file`), { code: 'ENOTREG', syscall: 'read', path });
}
