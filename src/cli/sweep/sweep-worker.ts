import { parentPort, workerData } from 'node:worker_threads';
import { nodeFileSystem } from '../../files/node-file-system.ts';
import { notingFiles } from '../../files/noting-files.ts';
import { type PointOutcome, type SweepBase, sweepFiles, sweepPoint } from './sweep-point.ts';

/** Points to compute, with the number of the first. */
export interface SweepTask {
  readonly first: number;
  readonly overrides: readonly (readonly string[])[];
}

export interface SweepDone {
  readonly first: number;
  readonly outcomes: readonly PointOutcome[];
  /** Files that were read for them. */
  readonly read: readonly string[];
}

// The entry of a worker thread: tasks come one at a time, each answered whole.
const read = new Set<string>();
const files = sweepFiles(notingFiles(nodeFileSystem, path => read.add(path)));
parentPort?.on('message', async (task: SweepTask) => {
  const outcomes: PointOutcome[] = [];
  for (const overrides of task.overrides) {
    outcomes.push(await sweepPoint(workerData as SweepBase, overrides, files));
  }
  parentPort?.postMessage({ first: task.first, outcomes, read: [...read] } satisfies SweepDone);
  read.clear();
});
