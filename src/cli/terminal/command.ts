import type { Command } from 'commander';
import type { View } from '../../report/words/view.ts';
import type { ExitStatus } from './exit-status.ts';
import type { CliIo } from './io.ts';

/** What one file under commands/ exports as `command`. */
export interface CommandModule {
  /** Declares arguments, options and the text after them. */
  define(command: Command): void;
  run(call: Call): Promise<ExitStatus>;
}

/** One call of a command, its flags read. */
export interface Call {
  readonly name: string;
  readonly io: CliIo;
  /** Positional arguments as typed; a variadic one is flattened. */
  readonly args: readonly string[];
  /** Every option by its camel-case name. */
  readonly flags: Readonly<Record<string, unknown>>;
  readonly format: string;
  /** File named by `-o`, or null. */
  readonly out: string | null;
  readonly root: string | undefined;
  readonly set: readonly string[];
  /** How standard output shows text. */
  readonly view: View;
  /** How standard error shows text. */
  readonly messages: View;
}

export interface CommandEntry {
  readonly name: string;
  readonly summary: string;
  readonly group: string;
  /** One dynamic import a command, so that a call reads only the code it runs. */
  readonly load: () => Promise<{ command: CommandModule }>;
}
