import { posix } from 'node:path';
import type { FileSystem } from '../../src/recipe/parts/file-system.ts';

/** A file system of these texts, below `/repo`; `links` maps a path to where it leads. */
export function memoryFiles(
  texts: Readonly<Record<string, string>>,
  links: Readonly<Record<string, string>> = {},
): FileSystem & { readonly read: string[] } {
  const read: string[] = [];
  const absolute = (path: string) => posix.resolve('/repo', path);
  const real = (path: string) => links[absolute(path)] ?? absolute(path);
  const known = (path: string) =>
    Object.keys(texts).some(t => absolute(t) === path || absolute(t).startsWith(`${path}/`));
  const missing = (path: string, syscall: string) =>
    Object.assign(new Error(`ENOENT: no such file or directory, ${syscall} '${path}'`), {
      code: 'ENOENT',
      syscall,
      path,
    });
  return {
    read,
    readBytes(path) {
      const text = Object.entries(texts).find(([t]) => absolute(t) === real(path))?.[1];
      if (text === undefined) throw missing(path, 'open');
      read.push(real(path));
      return new TextEncoder().encode(text);
    },
    realPath(path) {
      if (path === '.' || known(real(path))) return real(path);
      throw missing(path, 'realpath');
    },
    exists: path => known(real(path)),
  };
}
