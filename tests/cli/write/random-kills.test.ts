import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { repetitions } from '../../helpers/repetitions.ts';
import { BUILD_TIME, build, root, run } from '../built-program.ts';

// Calls that change files, one after the other in one folder, each killed at a random time of its run or left to its end. Whatever the
// time, a file is the old one or a new one, and what was there stays. `killed-writes.test.ts` kills at chosen moments instead.

const DEMO = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
const LOCK = 'dwellbook.lock.yaml';

let folder = '';
beforeAll(() => {
  build();
  folder = mkdtempSync(join(tmpdir(), 'dwellbook-random-kills-'));
  mkdirSync(join(folder, '.git'));
  for (const name of ['a.yaml', 'b.yaml']) writeFileSync(join(folder, name), DEMO);
}, BUILD_TIME);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Starts a call and kills it after so long [ms]; its status, null where it was killed. */
function killedAfter(time: number, args: readonly string[]): Promise<number | null> {
  const child: ChildProcess = spawn(process.execPath, [join(root, 'bin', 'dwellbook.js'), ...args], {
    ...{ cwd: folder, stdio: 'ignore' },
    env: { PATH: process.env['PATH'], XDG_CACHE_HOME: join(folder, 'cache') },
  });
  const timer = setTimeout(() => child.kill('SIGKILL'), time);
  return new Promise(resolve => {
    child.on('exit', status => {
      clearTimeout(timer);
      resolve(status);
    });
  });
}

/** The same numbers every time, though the machine decides what they hit. */
function shares(): () => number {
  let state = 1;
  return () => {
    state = (Math.imul(state, 1103515245) + 12345) & 0x7fffffff;
    return state / 2 ** 31;
  };
}

const read = (name: string) => readFileSync(join(folder, name), 'utf8');

/** Of each job, the call of a round, and what must hold after it. */
const JOBS: Readonly<Record<string, { call(round: number): string[]; look(ended: boolean): void }>> = {
  'freeze keeps the entries that were there': {
    call: round => ['freeze', round % 2 === 0 ? 'a.yaml' : 'b.yaml'],
    look: () => {
      if (!existsSync(join(folder, LOCK))) return;
      const { lock, recipes } = parse(read(LOCK)) as { lock: number; recipes: Record<string, unknown> };
      expect(lock).toBe(1);
      seen.frozen = Math.max(seen.frozen, Object.keys(recipes).length);
      expect(Object.keys(recipes)).toHaveLength(seen.frozen);
    },
  },
  'a setpoint written into its recipe leaves the rest of it': {
    call: round => ['setpoint', 'a.yaml', '--write', '--pressure', `${190 + (round % 20)} kPa`],
    look: () => {
      const head = DEMO.slice(0, DEMO.indexOf('settings:'));
      expect(read('a.yaml').slice(0, head.length)).toBe(head);
      expect(read('a.yaml')).toMatch(/\nsettings:[\s\S]*\n {2}pressure: \d+ kPa\n/);
    },
  },
  'a log loses no line': {
    call: round => {
      const check = ['--masses', '13.6, 13.7, 13.5 mg', '--shots', '5', '--syringe', `S-${round}`, '--operator', 'AB'];
      return ['release', 'b.yaml', ...check, '--log', 'checks.csv'];
    },
    look: ended => {
      if (!existsSync(join(folder, 'checks.csv'))) return;
      const lines = read('checks.csv').split('\n');
      expect(lines.pop()).toBe(''); // every line has its end
      expect(lines[0]).toMatch(/^time,recipe,digest,/);
      const count = lines[0]!.split(',').length;
      for (const line of lines.slice(1)) expect(line.replace(/"[^"]*"/g, '').split(',')).toHaveLength(count);
      expect(lines.length).toBeGreaterThanOrEqual(seen.logged + (ended ? 1 : 0));
      seen.logged = lines.length;
    },
  },
  'a gauge is whole': {
    call: () => ['gauge', 'b.yaml', '-o', 'gauge.pdf'],
    look: () => {
      if (!existsSync(join(folder, 'gauge.pdf'))) return;
      expect(read('gauge.pdf')).toMatch(/^%PDF-[\s\S]*%%EOF\n?$/);
    },
  },
};

const seen = { frozen: 0, logged: 0 };

describe('killed at a random time', () => {
  it.each(Object.keys(JOBS))(
    '%s',
    async name => {
      const { call, look } = JOBS[name]!;
      const random = shares();
      // A whole run first: how long one takes here and now.
      const start = performance.now();
      const first = await killedAfter(60_000, call(0));
      const whole = performance.now() - start;
      expect(first).not.toBeNull();
      look(first === 0 || first === 1);
      let killed = 0;
      const wanted = repetitions(3, 60);
      for (let round = 1; killed < wanted && round < 10 * wanted; round++) {
        const status = await killedAfter(random() * whole, call(round));
        if (status === null) killed++;
        look(status === 0 || status === 1);
      }
      expect(killed).toBe(wanted);
      // No lock that a killed call has left stands in the way of the next, and all that was read is still sound.
      expect(await killedAfter(60_000, call(0))).toBe(first);
      expect(run(['check', 'a.yaml', 'b.yaml', '--json'], { cwd: folder }).stdout).not.toContain('"yaml-');
    },
    600_000,
  );
});
