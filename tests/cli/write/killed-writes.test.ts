import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { repetitions } from '../../helpers/repetitions.ts';
import { BUILD_TIME, build, root, run } from '../built-program.ts';

// Every call by which the program changes the disk is a moment at which it can be killed: before the first, before the second … A file is
// written in halves, so that a kill in the middle of a write is one of them. Each in the long run, every third in the other.

const DEMO = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');

/** Loaded before the program: kills the process at the `KILL_AT`-th call that changes the disk, inside the folder of the test. */
const HOOK = `
const fs = require('node:fs');
const { syncBuiltinESMExports } = require('node:module');
const last = Number(process.env.KILL_AT);
const own = new Set();
let count = 0;
const moment = () => { if (++count === last) process.kill(process.pid, 'SIGKILL'); };
const isOwn = target => typeof target === 'number' ? own.has(target) : String(target).startsWith(process.cwd()) || !String(target).startsWith('/');
const { openSync, writeFileSync, writeSync } = fs;
for (const name of ['fsyncSync', 'chmodSync', 'renameSync', 'unlinkSync', 'linkSync']) {
  const real = fs[name];
  fs[name] = (target, ...rest) => { if (isOwn(target)) moment(); return real(target, ...rest); };
}
fs.openSync = (path, flags, ...rest) => {
  const changes = isOwn(path) && /[wa]/.test(String(flags));
  if (changes) moment();
  const descriptor = openSync(path, flags, ...rest);
  if (changes) own.add(descriptor);
  return descriptor;
};
fs.writeFileSync = (target, content, ...rest) => {
  if (!isOwn(target)) return writeFileSync(target, content, ...rest);
  const bytes = Buffer.from(content);
  moment();
  writeSync(target, bytes, 0, bytes.length >> 1);
  moment();
  writeSync(target, bytes, bytes.length >> 1);
};
fs.writeSync = (target, ...rest) => { if (isOwn(target)) moment(); return writeSync(target, ...rest); };
syncBuiltinESMExports();
`;

let folder = '';
beforeAll(() => {
  build();
  folder = mkdtempSync(join(tmpdir(), 'dwellbook-killed-'));
  writeFileSync(join(folder, 'hook.cjs'), HOOK);
}, BUILD_TIME);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Runs a call that is killed at that moment; false when it ended by itself before. */
function killedAt(moment: number, cwd: string, args: readonly string[]): boolean {
  const hook = join(folder, 'hook.cjs');
  const { signal, status, stderr } = spawnSync(
    process.execPath,
    ['--require', hook, join(root, 'bin', 'dwellbook.js'), ...args],
    { cwd, encoding: 'utf8', env: { PATH: process.env['PATH'], KILL_AT: String(moment) } },
  );
  if (signal === null)
    expect({ status, stderr }).toEqual({ status: 0, stderr: expect.not.stringMatching(/error|fault/) });
  return signal === 'SIGKILL';
}

/** A folder with the demo recipe, and what else stands there. */
function place(name: string, files: Readonly<Record<string, string | Uint8Array>> = {}): string {
  const path = join(folder, name);
  mkdirSync(join(path, '.git'), { recursive: true });
  for (const [file, content] of Object.entries({ 'a.yaml': DEMO, ...files })) writeFileSync(join(path, file), content);
  return path;
}

/** Kills a call at every moment in turn, and looks at what it leaves; how many moments there were. */
function everyMoment(
  name: string,
  args: readonly string[],
  file: string,
  old: string,
  look: (at: string) => void,
): number {
  const whole = place(`${name}-whole`, { [file]: old });
  expect(killedAt(Number.POSITIVE_INFINITY, whole, args)).toBe(false);
  const changed = readFileSync(join(whole, file));
  expect(changed.equals(Buffer.from(old))).toBe(false);
  for (let moment = 1; ; moment += repetitions(3, 1)) {
    const at = place(`${name}-${moment}`, { [file]: old });
    if (!killedAt(moment, at, args)) return moment - 1;
    const left = readFileSync(join(at, file));
    expect(left.equals(Buffer.from(old)) || left.equals(changed), `killed at ${moment}: ${left.length} bytes`).toBe(
      true,
    );
    look(at);
  }
}

describe('killed before each call that changes the disk', () => {
  const LOCK = 'dwellbook.lock.yaml';

  it('freeze leaves the old lock file or the new one, and the next run finds it sound', () => {
    const first = place('first');
    expect(run(['freeze', 'a.yaml'], { cwd: first }).status).toBe(0);
    const old = readFileSync(join(first, LOCK), 'utf8').replace('a.yaml', 'gone.yaml');
    const moments = everyMoment('freeze', ['freeze', 'a.yaml'], LOCK, old, at => {
      const next = run(['freeze', '--prune'], { cwd: at });
      expect({ status: next.status, stderr: next.stderr }).toEqual({ status: 0, stderr: '' });
      const frozen = run(['check', '.', '--frozen', '--json'], { cwd: at });
      expect(frozen.status).toBe(0);
      expect(frozen.stdout).not.toContain('"lock-');
      // What a kill leaves beside it is neither a lock file nor a recipe.
      expect(readdirSync(at).filter(file => !/^(?:\.git|a\.yaml|dwellbook\.lock\.yaml|\..*\.tmp)$/.test(file))).toEqual(
        [],
      );
    });
    expect(moments).toBeGreaterThanOrEqual(6);
  });

  it.each([
    ['a PDF', ['gauge', 'a.yaml', '-o', 'out.pdf'], 'out.pdf'],
    ['a CSV', ['ramp', 'a.yaml', '-o', 'out.csv'], 'out.csv'],
    ['JSON', ['cavity', 'a.yaml', '--json', '-o', 'out.json'], 'out.json'],
    ['settings in the recipe', ['setpoint', 'a.yaml', '--pressure', '190 kPa', '--write'], 'a.yaml'],
  ])('%s is the old one or the new one', (title, args, file) => {
    const name = title.replaceAll(' ', '-');
    const moments = everyMoment(name, args, file, file === 'a.yaml' ? DEMO : 'the old one\n', () => {});
    expect(moments).toBeGreaterThanOrEqual(5);
  });

  it('a file that was not there is whole or not there', () => {
    for (let moment = 1; ; moment += repetitions(3, 1)) {
      const at = place(`new-${moment}`);
      if (!killedAt(moment, at, ['ramp', 'a.yaml', '-o', 'out.csv'])) break;
      if (existsSync(join(at, 'out.csv')))
        expect(readFileSync(join(at, 'out.csv'), 'utf8')).toMatch(/^shot,.*\n(?:.+\n){80,}$/);
      expect(run(['check', '.'], { cwd: at }).status).toBe(0);
    }
  });
});
