import { parentPort, workerData } from 'node:worker_threads';
import { nodeFileSystem } from '../../files/node-file-system.ts';
import type { LoadOptions } from '../../recipe/format/load.ts';
import { checkShare, type Share } from './check-share.ts';

export interface CheckWork extends Share {
  readonly options: LoadOptions;
}

// The entry of a worker thread: it takes its share of the files until none is left.
const { options, ...share } = workerData as CheckWork;
await checkShare(share, nodeFileSystem, options, done => parentPort?.postMessage(done));
