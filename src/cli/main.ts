import { runProgram } from './program.ts';
import { EXIT } from './terminal/exit-status.ts';
import { processStreams } from './terminal/process-io.ts';

/** Runs the program on this process and returns the exit status. */
export async function main(argv: readonly string[]): Promise<number> {
  const { io, outputError } = processStreams();
  const status = await runProgram(argv, io);
  // Errors of a stream arrive after the write that caused them.
  await new Promise(resolve => setImmediate(resolve));
  const reason = outputError();
  if (reason === null) return status;
  io.stderr(`error: cannot write to standard output: ${reason}\n`);
  return EXIT.files;
}
