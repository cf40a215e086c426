import { availableParallelism } from 'node:os';
import { performance } from 'node:perf_hooks';
import { Worker } from 'node:worker_threads';
import type { LoadOptions } from '../../recipe/format/load.ts';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { LoadCache } from '../../recipe/parts/load-cache.ts';
import { checkFile } from './check-file.ts';
import type { CheckedData } from './check-recipe.ts';
import { checkShare, type ShareDone } from './check-share.ts';
import type { CheckDone, CheckWork } from './check-worker.ts';
import { workerScript } from './worker-script.ts';

const LIMITS = {
  /** From so many files on it shows how long one takes. */
  sample: 100,
  /** Less work than this is done sooner than another thread is as fast as this one has become [ms]. */
  worthwhile: 8_000,
  /** Each thread holds memory of its own. */
  threads: 4,
};

/**
 * What `check` says about many YAML files, in their order, which is the same whatever the number of threads; null for a
 * part. This thread starts alone, and works along with others when there is enough to do; or with so many from the start.
 * Throws: what the system throws, for the first file in order that cannot be read.
 */
export async function checkFiles(
  files: readonly string[],
  system: FileSystem,
  options: LoadOptions,
  threads: number | null,
): Promise<(CheckedData | null)[]> {
  const results = new Array<CheckedData | null | undefined>(files.length);
  const take = ({ first, results: some }: ShareDone) => {
    some.forEach((result, i) => {
      results[first + i] = result;
    });
  };
  const next = new SharedArrayBuffer(4);
  const taken = new Int32Array(next);
  const start = (count: number) => startHelpers(system, { files, next, options }, { count, take });
  const helpers = threads === null ? [] : start(threads - 1);
  let cold: { files: number; time: number } | null = null;
  await checkShare({ files, next }, system, options, done => {
    take(done);
    if (threads !== null || helpers.length > 0 || done.first < LIMITS.sample) return;
    const now = { files: Atomics.load(taken, 0), time: performance.now() };
    cold ??= now;
    const ahead = ((now.time - cold.time) / (now.files - cold.files)) * (files.length - now.files);
    if (ahead > LIMITS.worthwhile) helpers.push(...start(Math.min(availableParallelism(), LIMITS.threads) - 1));
  });
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
function startHelpers(
  system: FileSystem,
  work: CheckWork,
  { count, take }: { count: number; take: (done: ShareDone) => void },
): Promise<void>[] {
  // A worker reads the files of the machine; what stands elsewhere is checked here.
  const script = system.readElsewhere === undefined ? null : workerScript('check-worker.js');
  if (script === null) return [];
  return Array.from({ length: count }, () => {
    const worker = new Worker(script, { workerData: work });
    worker.on('message', ({ read, ...done }: CheckDone) => {
      for (const path of read) system.readElsewhere?.(path);
      take(done);
    });
    return new Promise<void>(resolve => {
      worker.on('error', () => undefined); // Its files are done by this thread.
      worker.on('exit', () => resolve());
    });
  });
}
