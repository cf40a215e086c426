// How the groups measure.
import { spawnSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

const here = dirname(fileURLToPath(import.meta.url));
export const root = dirname(dirname(here));
export const program = join(root, 'bin', 'dwellbook.js');

/** Median time [ms] of each task, run in turn `rounds` times after one round that does not count, where there is a warm-up. */
export async function medianTimes(tasks, rounds, { warmUp = true } = {}) {
  const times = tasks.map(() => []);
  for (let round = warmUp ? 0 : 1; round <= rounds; round += 1) {
    for (const [index, task] of tasks.entries()) {
      const start = process.hrtime.bigint();
      await task();
      const end = process.hrtime.bigint();
      if (round > 0) times[index].push(Number(end - start) / 1e6);
    }
  }
  return times.map(median);
}

export function median(values) {
  const sorted = [...values].sort((a, b) => a - b);
  const half = Math.floor(sorted.length / 2);
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

/** A task that runs node with these arguments and fails loudly when it ends with another status than the one wanted. */
export function node(args, status = 0) {
  return () => {
    const done = spawnSync(process.execPath, args, { cwd: root, stdio: ['ignore', 'ignore', 'pipe'] });
    if (done.status !== status) throw new Error(`node ${args.join(' ')} ended with ${done.status}: ${done.stderr}`);
  };
}

/** A row whose figure is a time, against another time. */
export function timeRow(figure, ours, floor, floorName, wanted) {
  return { figure, ours, floor, floorName, unit: 'ms', ratio: ours / floor, wanted };
}

/** A row whose figure is a rate, against another rate. */
export function rateRow(figure, ours, floor, floorName, unit, wanted) {
  return { figure, ours, floor, floorName, unit, ratio: ours / floor, wanted };
}

/**
 * Time on the processors [ms], of all threads, and greatest resident memory [MiB] of node with these arguments, told by node
 * itself when it ends. Other work on the machine moves the first little, and the second not at all.
 */
export function usage(args, status = 0) {
  const options = { cwd: root, stdio: ['ignore', 'ignore', 'pipe'], encoding: 'utf8', maxBuffer: 2 ** 30 };
  const done = spawnSync(process.execPath, ['--require', join(here, 'usage-at-exit.cjs'), ...args], options);
  const [, cpu, memory] = /USAGE (\d+) (\d+)\n$/.exec(done.stderr) ?? [];
  if (done.status !== status || cpu === undefined) {
    throw new Error(`node ${args.join(' ')} ended with ${done.status}: ${done.stderr.slice(0, 2_000)}`);
  }
  return { ms: Number(cpu) / 1e3, memory: Number(memory) / 1024 };
}

/** Median time on the processors [ms] of node with each of these arguments, in turn `rounds` times. */
export function processorTimes(tasks, rounds) {
  const times = tasks.map(() => []);
  for (let round = 0; round < rounds; round += 1) {
    for (const [index, args] of tasks.entries()) times[index].push(usage(args).ms);
  }
  return times.map(median);
}
