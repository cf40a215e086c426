// The thread of watched-run.ts: one call at a time, each in a world of its own.
import { parentPort } from 'node:worker_threads';
import { runProgram } from '../../src/cli/program.ts';
import { fakeIo } from './fake-io.ts';

export interface WatchedCall {
  readonly argv: readonly string[];
  readonly files: Readonly<Record<string, string | Uint8Array>>;
}

export interface WatchedResult {
  readonly status: number;
  readonly out: string;
  readonly err: string;
}

parentPort?.on('message', async ({ argv, files }: WatchedCall) => {
  const io = fakeIo(files);
  const status = await runProgram(argv, io);
  parentPort?.postMessage({ status, out: io.out(), err: io.err() } satisfies WatchedResult);
});
