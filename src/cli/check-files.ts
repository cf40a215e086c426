import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { nodeFileSystem } from '../files/node-file-system.ts';
import type { FileSystem } from '../recipe/file-system.ts';
import type { LoadOptions } from '../recipe/load.ts';
import { LoadCache } from '../recipe/load-cache.ts';
import { checkFile } from './check-file.ts';
import type { CheckedData } from './check-recipe.ts';
import { checkShare, type ShareDone } from './check-share.ts';
import type { CheckWork } from './check-worker.ts';
import { workerScript } from './worker-script.ts';

const LIMITS = {
  /** Below so many files a thread takes longer to start than it saves. */
  filesPerThread: 300,
  /** Each thread holds memory of its own. */
  threads: 4,
};

/**
 * What `check` says about many YAML files, in their order, which is the same whatever the number of threads; null for a
 * part. This thread works along with the others.
 * Throws: what the system throws, for the first file in order that cannot be read.
 */
export async function checkFiles(
  files: readonly string[],
  system: FileSystem,
  options: LoadOptions,
): Promise<(CheckedData | null)[]> {
  const results = new Array<CheckedData | null | undefined>(files.length);
  const take = ({ first, results: some }: ShareDone) => {
    some.forEach((result, i) => {
      results[first + i] = result;
    });
  };
  const next = new SharedArrayBuffer(4);
  const helpers = startHelpers(system, { files, next, options }, take);
  await checkShare({ files, next }, system, options, take);
  await Promise.all(helpers);
  // What a thread could not finish is done here, where it fails with its reason.
  const cache = new LoadCache();
  const all: (CheckedData | null)[] = [];
  for (const [i, file] of files.entries()) {
    const known = results[i];
    all.push(known === undefined ? await checkFile(file, system, { ...options, cache }) : known);
  }
  return all;
}

/** Threads beside this one; each promise is kept when its thread has ended, however it did. */
function startHelpers(system: FileSystem, work: CheckWork, take: (done: ShareDone) => void): Promise<void>[] {
  // A worker reads the files of the machine; what stands elsewhere is checked here.
  const script = system === nodeFileSystem ? workerScript('check-worker.js') : null;
  if (script === null) return [];
  const wanted = Math.floor(work.files.length / LIMITS.filesPerThread);
  const count = Math.min(availableParallelism(), LIMITS.threads, wanted) - 1;
  return Array.from({ length: Math.max(0, count) }, () => {
    const worker = new Worker(script, { workerData: work });
    worker.on('message', take);
    return new Promise<void>(resolve => {
      worker.on('error', () => undefined); // Its files are done by this thread.
      worker.on('exit', () => resolve());
    });
  });
}
