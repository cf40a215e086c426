import type { Appended } from '../../files/append-log.ts';
import type { KeptTexts } from '../../files/kept-texts.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';

/**
 * What may stand where a file is written, beside results of before: `recipe` is one that the user gives up, `source` what the call
 * read and changes.
 */
export type Over = 'recipe' | 'source';

/** Everything a command may touch of the world outside; tests pass a fake. */
export interface CliIo {
  /** Text to standard output: results, nothing else. */
  stdout(text: string): void;
  /** Text to standard error: findings, notes, messages. */
  stderr(text: string): void;
  /** All of standard input, or its first `most` bytes. */
  readStdin(most?: number): Promise<Uint8Array>;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly isTTY: { readonly stdout: boolean; readonly stderr: boolean };
  /** Width of the terminal in characters; undefined when output does not go to one. */
  readonly columns: number | undefined;
  /** Reading, as the recipe loader wants it. */
  readonly files: FileSystem;
  /** What stands at a path. */
  kindOf(path: string): 'file' | 'folder' | null;
  /**
   * Files that match a pattern, in code-unit order; `base` is where a relative pattern starts. Null where there is too much to be
   * searched.
   */
  glob(pattern: string, base: string): Promise<string[] | null>;
  /** Tells a file from all others, by whatever name or link it is reached; `-` is standard input. Null for what is no file. */
  identityOf(path: string): string | null;
  /** Writes the whole file or nothing. */
  writeFile(path: string, content: string | Uint8Array, over?: Over): void;
  /** Adds one line to the end of a log, which gets its header when it is new; one with another header is not touched. */
  appendLog(path: string, header: string, line: string): Appended;
  /** Runs `work` while no other process that asks for the same does; for what is read, changed and written back. */
  whileLocked<T>(path: string, work: () => T): T;
  /** What this program keeps for this user from call to call; null where it keeps nothing. */
  readonly kept?: () => KeptTexts | null;
  readonly currentFolder: string;
  now(): Date;
}
