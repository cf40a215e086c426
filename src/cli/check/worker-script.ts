import { existsSync } from 'node:fs';
import { dirname, join } from 'node:path';

/** A built worker beside the built program, or null when the program runs from its source. */
export function workerScript(name: string): string | null {
  let folder = import.meta.dirname;
  for (let level = 0; level < 2; level++, folder = dirname(folder)) {
    const path = join(folder, name);
    if (existsSync(path)) return path;
  }
  return null;
}
