import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { median, program, timeRow, usage } from './measure.mjs';

const ROUNDS = 3;

export const title = 'Freezing the demo recipes and holding them to their lock file; time on the processors';

export async function rows() {
  const folder = mkdtempSync(join(tmpdir(), 'dwellbook-bench-'));
  const before = process.env.XDG_CACHE_HOME;
  const cache = join(folder, 'cache');
  process.env.XDG_CACHE_HOME = cache;
  try {
    const lock = join(folder, 'lock.yaml');
    const first = ['freeze', 'recipes', '--lock', lock];
    const tasks = {
      check: () => usage([program, 'check', 'recipes']).ms,
      // Nothing is kept from before.
      first: () => {
        rmSync(cache, { recursive: true, force: true });
        return usage([program, ...first]).ms;
      },
      again: () => usage([program, ...first]).ms,
      frozen: () => usage([program, 'check', 'recipes', '--frozen', '--lock', lock]).ms,
    };
    const times = Object.fromEntries(Object.keys(tasks).map(name => [name, []]));
    for (let round = 0; round < ROUNDS; round += 1) {
      for (const [name, task] of Object.entries(tasks)) times[name].push(task());
    }
    const {
      check,
      first: cold,
      again,
      frozen,
    } = Object.fromEntries(Object.entries(times).map(([name, list]) => [name, median(list)]));
    return [
      timeRow('check --frozen, recipes unchanged', frozen, check, 'check', { atMost: 2 }),
      timeRow('freeze, recipes unchanged', again, check, 'check', { atMost: 2 }),
      timeRow('freeze, for the first time', cold, check, 'check'),
    ];
  } finally {
    if (before === undefined) delete process.env.XDG_CACHE_HOME;
    else process.env.XDG_CACHE_HOME = before;
    rmSync(folder, { recursive: true, force: true });
  }
}
