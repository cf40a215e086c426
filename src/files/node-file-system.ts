import { existsSync, readFileSync, realpathSync } from 'node:fs';
import type { FileSystem } from '../recipe/file-system.ts';

/** The files of the machine. */
export const nodeFileSystem: FileSystem = {
  readBytes: path => readFileSync(path),
  realPath: path => realpathSync.native(path),
  exists: path => existsSync(path),
};
