import { dirname, join } from 'node:path';
import type { FileSystem } from './file-system.ts';

/** The nearest folder at or above that holds a `.git`; the folder itself where there is none. */
export function recipeRoot(folder: string, fs: FileSystem): string {
  for (let at = folder; ; at = dirname(at)) {
    if (fs.exists(join(at, '.git'))) return at;
    if (dirname(at) === at) return folder;
  }
}
