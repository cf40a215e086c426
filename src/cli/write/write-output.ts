import type { Call } from '../terminal/command.ts';

/** Text to standard output, or to the file of `-o`. */
export function writeOutput(call: Call, text: string): void {
  if (call.out === null) call.io.stdout(text);
  else call.io.writeFile(call.out, text);
}
