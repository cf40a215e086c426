import { plainFileError } from './file-error.ts';

/** Exit statuses; README and `dwellbook --help` list the same. */
export const EXIT = {
  /** Done, and sound. */
  done: 0,
  /** The recipe or the data fails a check, or the result cannot be computed. */
  unsound: 1,
  /** Wrong usage, or a folder or pattern in which there is no recipe. */
  usage: 2,
  /** A file cannot be read or written. */
  files: 3,
  /** A fault of ours. */
  fault: 70,
} as const;

export type ExitStatus = (typeof EXIT)[keyof typeof EXIT];

/** A wrong call of the program: status 2, with what would do. */
export class UsageError extends Error {
  override readonly name = 'UsageError';
}

/** A file that cannot be read or written: status 3, one plain message. */
export class CallFileError extends Error {
  override readonly name = 'CallFileError';
}

export interface Failure {
  readonly status: ExitStatus;
  /** What to print on standard error; empty when it has been printed already. */
  readonly message: string;
}

/** The one mapping from what was thrown to an exit status and a message. */
export function failureOf(thrown: unknown): Failure {
  if (isCommanderError(thrown)) {
    // Help and version end with 0; every other message of the parser is about usage, and it has printed it.
    return { status: thrown.exitCode === 0 ? EXIT.done : EXIT.usage, message: '' };
  }
  if (thrown instanceof UsageError) return { status: EXIT.usage, message: `error: ${thrown.message}` };
  if (thrown instanceof CallFileError) return { status: EXIT.files, message: `error: ${thrown.message}` };
  const plain = plainFileError(thrown);
  if (plain !== null) return { status: EXIT.files, message: `error: ${plain}` };
  const what = thrown instanceof Error ? thrown.message || thrown.name : String(thrown);
  return {
    status: EXIT.fault,
    message: `fault: ${what}\nThis is a fault in dwellbook, not in your files. Run it again with --trace to see where.`,
  };
}

/** By shape, so that this file, which every start reads, imports no package. */
function isCommanderError(thrown: unknown): thrown is { code: string; exitCode: number } {
  return thrown instanceof Error && String((thrown as { code?: unknown }).code).startsWith('commander.');
}
