import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { FileSystem } from '../../recipe/parts/file-system.ts';
import { workerScript } from '../check/worker-script.ts';
import { type PointOutcome, type SweepBase, sweepFiles, sweepPoint } from './sweep-point.ts';
import type { SweepDone, SweepTask } from './sweep-worker.ts';

export interface SweepJob {
  readonly base: SweepBase;
  /** Overrides of each point. */
  readonly points: readonly (readonly string[])[];
  readonly files: FileSystem;
  /** Threads asked for; undefined: as many as the machine runs at once. */
  readonly workers: number | undefined;
  readonly progress: (share: number) => void;
}

const DEFAULTS = {
  /** Below so many points a second thread takes longer to start than it saves. */
  alone: 24,
  /** Points handed out at a time: enough to hide the messages, few enough that threads end together. */
  chunk: 8,
};

const WORKER = 'sweep-worker.js';

/** All points of a sweep in their order, which is the same whatever the number of threads. */
export async function runSweep(job: SweepJob): Promise<readonly PointOutcome[]> {
  const script = workerScript(WORKER);
  const wanted = job.workers ?? (job.points.length < DEFAULTS.alone ? 1 : availableParallelism());
  const threads = Math.min(wanted, Math.ceil(job.points.length / DEFAULTS.chunk));
  // A worker reads the files of the machine; what stands elsewhere is computed here.
  return threads < 2 || script === null || job.files.readElsewhere === undefined
    ? runHere(job)
    : runThreads(job, script, threads);
}

async function runHere(job: SweepJob): Promise<PointOutcome[]> {
  const outcomes: PointOutcome[] = [];
  const files = sweepFiles(job.files);
  for (const overrides of job.points) {
    outcomes.push(await sweepPoint(job.base, overrides, files));
    job.progress(outcomes.length / job.points.length);
  }
  return outcomes;
}

async function runThreads(job: SweepJob, script: string, threads: number): Promise<PointOutcome[]> {
  const outcomes = new Array<PointOutcome>(job.points.length);
  let next = 0;
  let done = 0;
  const takeTask = (): SweepTask | null => {
    if (next >= job.points.length) return null;
    const first = next;
    next = Math.min(job.points.length, first + DEFAULTS.chunk);
    return { first, overrides: job.points.slice(first, next) };
  };
  const runOne = (worker: Worker) =>
    new Promise<void>((resolve, reject) => {
      const give = () => {
        const task = takeTask();
        if (task === null) resolve();
        else worker.postMessage(task);
      };
      worker.on('message', (answer: SweepDone) => {
        answer.outcomes.forEach((outcome, k) => {
          outcomes[answer.first + k] = outcome;
        });
        for (const path of answer.read) job.files.readElsewhere?.(path);
        done += answer.outcomes.length;
        job.progress(done / job.points.length);
        give();
      });
      worker.on('error', reject);
      worker.on('exit', code => reject(new Error(`a thread of the sweep ended with ${code}`)));
      give();
    });
  const workers = Array.from({ length: threads }, () => new Worker(script, { workerData: job.base }));
  try {
    await Promise.all(workers.map(runOne));
  } finally {
    await Promise.all(workers.map(worker => worker.terminate()));
  }
  return outcomes;
}
