import { closeSync, fstatSync, fsyncSync, openSync, readSync, writeSync } from 'node:fs';

/**
 * Adds one line to the end of a file, which is created when missing. What is there is never rewritten; a last line that
 * somebody left without its end gets one first.
 * Throws: RangeError for a text of several lines; what the system throws.
 */
export function appendLine(path: string, line: string): void {
  if (/[\r\n]/.test(line)) throw new RangeError('a line to append has no line break in it');
  const descriptor = openSync(path, 'a+');
  try {
    const { size } = fstatSync(descriptor);
    const last = Buffer.alloc(1);
    const open = size > 0 && readSync(descriptor, last, 0, 1, size - 1) === 1 && last[0] !== 0x0a;
    // One write, so that two processes do not mix their lines.
    writeSync(descriptor, `${open ? '\n' : ''}${line}\n`);
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}
