import { isAbsolute, relative, sep } from 'node:path';

/** True for a folder itself and for what is in it. */
export function isBelow(folder: string, path: string): boolean {
  const way = relative(folder, path);
  return !(way === '..' || way.startsWith(`..${sep}`) || isAbsolute(way));
}
