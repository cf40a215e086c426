// The thread of watched-run.ts: one call at a time, each in a world of its own.
import { parentPort } from 'node:worker_threads';
import { runProgram } from '../../src/cli/program.ts';
import { fakeIo } from './fake-io.ts';

export interface WatchedCall {
  readonly argv: readonly string[];
  readonly files: Readonly<Record<string, string | Uint8Array>>;
  readonly stdin: string | undefined;
}

export interface WatchedResult {
  readonly status: number;
  readonly out: string;
  readonly err: string;
  /** What was written, as text. */
  readonly written: Readonly<Record<string, string>>;
}

parentPort?.on('message', async ({ argv, files, stdin }: WatchedCall) => {
  const io = fakeIo(files, stdin === undefined ? {} : { stdin });
  const status = await runProgram(argv, io);
  const written = Object.fromEntries([...io.written].map(([path, content]) => [path, content.toString()]));
  parentPort?.postMessage({ status, out: io.out(), err: io.err(), written } satisfies WatchedResult);
});
