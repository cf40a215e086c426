import { fstatSync, statSync, writeSync } from 'node:fs';
import { devNull } from 'node:os';
import { harmlessText } from './harmless-text.ts';

/** Standard output or standard error. */
export interface Output {
  readonly isTTY: boolean;
  /** Width of the terminal; undefined when it is none. */
  readonly columns: number | undefined;
  write(text: string): void;
}

/**
 * Writes to a terminal through Node's stream, and to a file or a pipe at once: making the stream takes longer than
 * writing a help text. `failed` hears, now or later, why something could not be written; after that nothing more is tried.
 */
export function output(
  fd: 1 | 2,
  streamOf: () => NodeJS.WriteStream,
  failed: (error: NodeJS.ErrnoException) => void,
): Output {
  let broken = false;
  const fail = (error: unknown) => {
    broken = true;
    failed(error as NodeJS.ErrnoException);
  };
  let stream: NodeJS.WriteStream | null = null;
  const viaStream = () => {
    stream ??= streamOf().on('error', fail);
    return stream;
  };
  const terminal = mayBeTerminal(fd) ? viaStream() : null;
  return {
    isTTY: terminal?.isTTY === true,
    columns: terminal?.columns,
    write(text) {
      if (broken || text === '') return;
      const harmless = harmlessText(text);
      if (stream !== null) {
        stream.write(harmless);
        return;
      }
      try {
        const left = leftOver(fd, harmless);
        if (left.length > 0) viaStream().write(left);
      } catch (error) {
        fail(error);
      }
    },
  };
}

/** What could not be written at once because a reader that is slow has to be waited for, which a stream can. */
function leftOver(fd: number, text: string): Uint8Array {
  let left: Uint8Array = Buffer.from(text);
  try {
    while (left.length > 0) left = left.subarray(writeSync(fd, left));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EAGAIN') throw error;
  }
  return left;
}

function mayBeTerminal(fd: number): boolean {
  try {
    // As big integers: after a plain look at a pipe, Node's `require` stops following links (its realpathSync reads what
    // the last look left behind).
    const stat = fstatSync(fd, { bigint: true });
    return stat.isCharacterDevice() && stat.rdev !== statSync(devNull, { bigint: true, throwIfNoEntry: false })?.rdev;
  } catch {
    return true; // The stream knows better what is wrong.
  }
}
