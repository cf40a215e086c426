import type { LoadOptions } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { LoadCache } from '../../recipe/parts/load-cache.ts';
import { checkFile } from './check-file.ts';
import type { CheckedData } from './check-recipe.ts';

/** Files that several threads divide among them. */
export interface Share {
  readonly files: readonly string[];
  /** One 32-bit number in memory that all threads see: index of the next file that nobody has taken. */
  readonly next: SharedArrayBuffer;
}

export interface ShareDone {
  readonly first: number;
  /** Null is a part. The list ends early at a file that could not be read. */
  readonly results: readonly (CheckedData | null)[];
}

/** Files taken at a time: enough to hide the messages, few enough that the threads end together. */
const CHUNK = 25;

/** Checks files until none is left, handing out what came of every few of them. */
export async function checkShare(
  { files, next }: Share,
  system: FileSystem,
  options: LoadOptions,
  deliver: (done: ShareDone) => void,
): Promise<void> {
  const counter = new Int32Array(next);
  const shared = { ...options, cache: new LoadCache() };
  for (;;) {
    const first = Atomics.add(counter, 0, CHUNK);
    if (first >= files.length) return;
    const results: (CheckedData | null)[] = [];
    for (const file of files.slice(first, first + CHUNK)) {
      try {
        results.push(await checkFile(file, system, shared));
      } catch {
        break; // The caller comes to this file again and hears why.
      }
    }
    deliver({ first, results });
  }
}
