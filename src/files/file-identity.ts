import { fstatSync, statSync } from 'node:fs';

/**
 * What tells one file from all others, whatever it is called: links, other spellings and other cases of a name give the same. A number
 * is an open file. Null where there is no file: nothing, a folder, a device, a pipe.
 */
export function fileIdentity(file: string | number): string | null {
  try {
    // As big integers: some systems number files beyond what a double holds.
    const stat = typeof file === 'number' ? fstatSync(file, { bigint: true }) : statSync(file, { bigint: true });
    return stat.isFile() ? `${stat.dev}:${stat.ino}` : null;
  } catch {
    return null;
  }
}
