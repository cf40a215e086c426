import { join } from 'node:path';

/** The folder, beside the built program, of what it reads after its start; the build puts the name here. */
declare const BUILT_PARTS: string;

/** A built worker of the built program, or null when the program runs from its source. */
export function workerScript(name: string): string | null {
  return typeof BUILT_PARTS === 'undefined' ? null : join(import.meta.dirname, BUILT_PARTS, name);
}
