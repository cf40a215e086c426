// How the groups measure.
import { spawnSync } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const root = dirname(dirname(dirname(fileURLToPath(import.meta.url))));
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

/** Greatest resident memory [MiB] of node with these arguments, read by node itself when it ends. */
export function peakMemory(args) {
  const report = `process.on('exit',()=>process.stderr.write('\\nPEAK '+process.resourceUsage().maxRSS+'\\n'))`;
  const preload = `data:text/javascript,${encodeURIComponent(report)}`;
  const options = { cwd: root, stdio: ['ignore', 'ignore', 'pipe'], encoding: 'utf8' };
  const done = spawnSync(process.execPath, ['--import', preload, ...args], options);
  const peaks = [...done.stderr.matchAll(/PEAK (\d+)/g)].map(match => Number(match[1]) / 1024);
  if (peaks.length === 0) throw new Error(`node ${args.join(' ')} told no memory: ${done.stderr}`);
  return Math.max(...peaks);
}
