import { parentPort, workerData } from 'node:worker_threads';
import { nodeFileSystem } from '../../files/node-file-system.ts';
import { notingFiles } from '../../files/noting-files.ts';
import type { LoadOptions } from '../../recipe/format/load.ts';
import { checkShare, type Share, type ShareDone } from './check-share.ts';

export interface CheckWork extends Share {
  readonly options: LoadOptions;
}

export interface CheckDone extends ShareDone {
  /** Files that were read for it. */
  readonly read: readonly string[];
}

// The entry of a worker thread: it takes its share of the files until none is left.
const { options, ...share } = workerData as CheckWork;
const read = new Set<string>();
const files = notingFiles(nodeFileSystem, path => read.add(path));
await checkShare(share, files, options, done => {
  parentPort?.postMessage({ ...done, read: [...read] } satisfies CheckDone);
  read.clear();
});
