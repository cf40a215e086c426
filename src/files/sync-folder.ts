import { closeSync, fsyncSync, openSync } from 'node:fs';

/**
 * So that a new or renamed file in the folder survives a power cut. Systems that cannot do it are left alone: the content is
 * on the disk, only the moment of the cut is not covered.
 */
export function syncFolder(folder: string): void {
  try {
    const descriptor = openSync(folder, 'r');
    try {
      fsyncSync(descriptor);
    } finally {
      closeSync(descriptor);
    }
  } catch {
    // See above.
  }
}
