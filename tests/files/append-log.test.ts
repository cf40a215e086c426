import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { buildSync } from 'esbuild';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { appendLog } from '../../src/files/append-log.ts';
import { LockedError, withFileLock } from '../../src/files/file-lock.ts';

const folder = mkdtempSync(join(tmpdir(), 'append-log-'));
const module = join(folder, 'append-log.mjs');
const HEADER = 'time,mean [uL],note';
let log: string;
let count = 0;

beforeAll(() => {
  const entryPoints = [join(import.meta.dirname, '../../src/files/append-log.ts')];
  buildSync({ entryPoints, outfile: module, bundle: true, platform: 'node', format: 'esm', logLevel: 'silent' });
});
beforeEach(() => {
  log = join(folder, `log-${++count}.csv`);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A process that appends rows: `count` of them, or until it is killed. Says `started` after the first. */
function writer(name: string, count: number): ChildProcess {
  const code = `
    import { appendLog } from ${JSON.stringify(module)};
    for (let i = 0; i < ${count}; i++) {
      appendLog(${JSON.stringify(log)}, ${JSON.stringify(HEADER)}, ${JSON.stringify(name)} + ',' + i + ',' + 'x'.repeat(300));
      if (i === 0) console.log('started');
    }`;
  return spawn(process.execPath, ['--input-type=module', '-e', code], { stdio: ['ignore', 'pipe', 'inherit'] });
}

const lines = () => readFileSync(log, 'utf8').split('\n');
const ROW = /^w\d,\d+,x{300}$/;

describe('one writer', () => {
  test('a missing or empty file gets its header, further lines go below', () => {
    expect(appendLog(log, HEADER, '1,2,a')).toEqual({ otherHeader: null, openLine: null });
    appendLog(log, HEADER, '2,3,b');
    expect(readFileSync(log, 'utf8')).toBe(`${HEADER}\n1,2,a\n2,3,b\n`);
    writeFileSync(log, '');
    appendLog(log, HEADER, '1,2,a');
    expect(readFileSync(log, 'utf8')).toBe(`${HEADER}\n1,2,a\n`);
  });

  test('another header keeps the file as it is', () => {
    writeFileSync(log, 'name,town\nsomebody,somewhere\n');
    expect(appendLog(log, HEADER, '1,2,a')).toEqual({ otherHeader: 'name,town', openLine: null });
    expect(readFileSync(log, 'utf8')).toBe('name,town\nsomebody,somewhere\n');
  });

  test('a byte-order mark and CRLF of a spreadsheet are no other header, and further lines end alike', () => {
    writeFileSync(log, `\ufeff${HEADER}\r\n1,2,a\r\n`);
    expect(appendLog(log, HEADER, '2,3,b').otherHeader).toBeNull();
    expect(readFileSync(log, 'utf8')).toBe(`\ufeff${HEADER}\r\n1,2,a\r\n2,3,b\r\n`);
  });

  test('an interrupted last line is reported, kept, and not merged with the next', () => {
    writeFileSync(log, `${HEADER}\n1,2,a\n2,3`);
    expect(appendLog(log, HEADER, '3,4,c')).toEqual({ otherHeader: null, openLine: 3 });
    expect(readFileSync(log, 'utf8')).toBe(`${HEADER}\n1,2,a\n2,3\n3,4,c\n`);
    expect(appendLog(log, HEADER, '4,5,d').openLine).toBeNull();
  });

  test('a line of several lines is refused, and no lock stays behind', () => {
    expect(() => appendLog(log, HEADER, 'a\nb')).toThrow(RangeError);
    expect(() => appendLog(join(folder, 'none', 'log.csv'), HEADER, 'a')).toThrow(/ENOENT/);
    appendLog(log, HEADER, '1,2,a');
    expect(readdirSync(folder).filter(name => name.includes('.lock'))).toEqual([]);
  });
});

describe('several writers', () => {
  test('every line of six processes is there, whole, once, below one header', async () => {
    const each = 12;
    const names = ['w0', 'w1', 'w2', 'w3', 'w4', 'w5'];
    const ends = await Promise.all(names.map(name => once(writer(name, each), 'exit')));
    expect(ends.map(([code]) => code)).toEqual(names.map(() => 0));
    const [header, ...rows] = lines();
    expect(header).toBe(HEADER);
    expect(rows.pop()).toBe('');
    expect(rows.filter(row => !ROW.test(row))).toEqual([]);
    const wanted = names.flatMap(name => Array.from({ length: each }, (_, i) => `${name},${i}`));
    expect(rows.map(row => row.slice(0, row.lastIndexOf(','))).sort()).toEqual(wanted.sort());
  });

  test('a writer that is killed at any moment leaves whole lines, and the next one gets on', async () => {
    for (let round = 0; round < 4; round++) {
      const process = writer(`w${round}`, 1e9);
      await once(process.stdout!, 'data');
      process.kill('SIGKILL');
      await once(process, 'exit');
      appendLog(log, HEADER, `w9,${round},${'x'.repeat(300)}`);
    }
    const [header, ...rows] = lines();
    expect(header).toBe(HEADER);
    expect(rows.pop()).toBe('');
    expect(rows.filter(row => !ROW.test(row))).toEqual([]);
    expect(rows.filter(row => row.startsWith('w9')).length).toBe(4);
  });
});

describe('the lock', () => {
  const lockText = (id: number, host = hostname()) => `${JSON.stringify({ process: id, host })} 1\n`;
  const gone = () => spawnSync(process.execPath, ['-e', '']).pid;

  test('of a process that is gone is taken over, of one that lives is waited for', () => {
    writeFileSync(`${log}.lock`, lockText(gone()));
    appendLog(log, HEADER, '1,2,a');
    expect(existsSync(`${log}.lock`)).toBe(false);
    writeFileSync(`${log}.lock`, lockText(process.ppid));
    expect(() => withFileLock(log, () => 'never', 50)).toThrow(LockedError);
    expect(readFileSync(`${log}.lock`, 'utf8')).toBe(lockText(process.ppid));
  });

  test('of another machine counts as left behind after a minute, one without a name after two seconds', () => {
    const aged = (text: string, seconds: number) => {
      writeFileSync(`${log}.lock`, text);
      const then = Date.now() / 1000 - seconds;
      utimesSync(`${log}.lock`, then, then);
    };
    aged(lockText(1, 'elsewhere'), 30);
    expect(() => withFileLock(log, () => 'never', 50)).toThrow(LockedError);
    aged(lockText(1, 'elsewhere'), 90);
    expect(withFileLock(log, () => 'done', 50)).toBe('done');
    aged('', 5);
    expect(withFileLock(log, () => 'done', 50)).toBe('done');
  });

  test('is let go when the work throws', () => {
    expect(() => withFileLock(log, () => raise())).toThrow('work');
    expect(existsSync(`${log}.lock`)).toBe(false);
  });
});

function raise(): never {
  throw new Error('work');
}
