import type { Appended } from '../../files/append-log.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';

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
  /** Writes the whole file or nothing. */
  writeFile(path: string, content: string | Uint8Array): void;
  /** Adds one line to the end of a log, which gets its header when it is new; one with another header is not touched. */
  appendLog(path: string, header: string, line: string): Appended;
  /** Runs `work` while no other process that asks for the same does; for what is read, changed and written back. */
  whileLocked<T>(path: string, work: () => T): T;
  readonly currentFolder: string;
  now(): Date;
}
