import type { FileSystem } from '../recipe/parts/file-system.ts';

/** The same files, telling `note` the path of each that is read. */
export function notingFiles(files: FileSystem, note: (path: string) => void): FileSystem {
  return {
    readBytes: (path, most) => {
      note(path);
      return files.readBytes(path, most);
    },
    realPath: path => files.realPath(path),
    exists: path => files.exists(path),
    ...(files.readElsewhere !== undefined && { readElsewhere: note }),
  };
}
