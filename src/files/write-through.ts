import { closeSync, constants, openSync, writeSync } from 'node:fs';

const DEFAULTS = {
  /** How long a pipe may wait for its reader [ms]. */
  patience: 5_000,
  /** Between two attempts [ms]. */
  pause: 10,
};

/**
 * Writes to what is no file: a device, or a pipe. A pipe that nobody reads is waited for and then given up, where opening it as a file
 * would wait for ever; a reader that has come may be as slow as it likes.
 * Throws: what the system throws; an error with the code ENOREADER.
 */
export function writeThrough(path: string, content: string | Uint8Array, patience: number = DEFAULTS.patience): void {
  const descriptor = openWithReader(path, Date.now() + patience);
  try {
    let left: Uint8Array = typeof content === 'string' ? Buffer.from(content) : content;
    while (left.length > 0) left = left.subarray(written(descriptor, left));
  } finally {
    closeSync(descriptor);
  }
}

function openWithReader(path: string, end: number): number {
  for (;;) {
    try {
      return openSync(path, constants.O_WRONLY | constants.O_NONBLOCK);
    } catch (cause) {
      if ((cause as NodeJS.ErrnoException).code !== 'ENXIO') throw cause;
      if (Date.now() >= end) throw Object.assign(new Error(), { code: 'ENOREADER', syscall: 'open', path });
      sleep();
    }
  }
}

/** How many bytes a pipe has taken; none while it is full. */
function written(descriptor: number, bytes: Uint8Array): number {
  try {
    return writeSync(descriptor, bytes);
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'EAGAIN') throw cause;
    sleep();
    return 0;
  }
}

function sleep(): void {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, DEFAULTS.pause);
}
