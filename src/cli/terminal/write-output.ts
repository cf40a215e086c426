import type { Call } from './command.ts';
import { harmlessText } from './harmless-text.ts';
import type { CliIo } from './io.ts';

/** Text to standard output, or to the file of `-o`. */
export function writeOutput(call: Call, text: string): void {
  if (call.out === null) call.io.stdout(text);
  else writeText(call.io, call.out, text);
}

/** Text for people to a file, as harmless as on a terminal: that is where it may be shown. */
export function writeText(io: CliIo, path: string, text: string): void {
  io.writeFile(path, harmlessText(text));
}
