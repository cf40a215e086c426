import * as fs from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { appendLog } from '../../src/files/append-log.ts';
import { writeAtomic } from '../../src/files/write-atomic.ts';

// A disk with room for so many bytes more: a write takes what fits, as the system does, and the next one fails.

const disk = vi.hoisted(() => ({ room: Number.POSITIVE_INFINITY }));

vi.mock('node:fs', async original => {
  const real = await original<typeof import('node:fs')>();
  const taken = (bytes: Uint8Array) => {
    if (disk.room === 0 && bytes.length > 0) {
      throw Object.assign(new Error('ENOSPC: no space left on device, write'), { code: 'ENOSPC', syscall: 'write' });
    }
    const fits = bytes.subarray(0, disk.room);
    disk.room -= fits.length;
    return fits;
  };
  const writeSync = (fd: number, content: string | Uint8Array, from = 0) =>
    real.writeSync(fd, taken(Buffer.from(content as string).subarray(from)));
  const writeFileSync = (target: number | string, content: string) => {
    if (typeof target === 'string') return real.writeFileSync(target, content);
    for (let left = Buffer.from(content); left.length > 0; ) left = left.subarray(writeSync(target, left));
  };
  return { ...real, writeSync, writeFileSync };
});

const HEADER = 'time,mean [uL],note';
let folder: string;
beforeEach(() => {
  folder = fs.mkdtempSync(join(tmpdir(), 'full-disk-'));
});
afterEach(() => {
  disk.room = Number.POSITIVE_INFINITY;
  fs.rmSync(folder, { recursive: true, force: true });
});

/** How a call ends on a disk with that room: null, or the code of the error. */
function withRoom(room: number, work: () => void): string | null {
  disk.room = room;
  try {
    work();
    return null;
  } catch (cause) {
    return (cause as NodeJS.ErrnoException).code ?? String(cause);
  } finally {
    disk.room = Number.POSITIVE_INFINITY;
  }
}

test.each([0, 1, 5, 20, 40, 60, 80, 100, 120])('a log with room for %i bytes keeps its lines and no lock', room => {
  const log = join(folder, 'log.csv');
  appendLog(log, HEADER, '1,2,a');
  const before = fs.readFileSync(log, 'utf8');
  const end = withRoom(room, () => appendLog(log, HEADER, '2,3,b'));
  expect(fs.readdirSync(folder)).toEqual(['log.csv']);
  const after = fs.readFileSync(log, 'utf8');
  if (end === null) expect(after).toBe(`${before}2,3,b\n`);
  else {
    expect(end).toBe('ENOSPC');
    expect(`${before}2,3,b`.startsWith(after) && after.startsWith(before), after).toBe(true);
  }
  // With room again the next line stands on one of its own.
  appendLog(log, HEADER, '3,4,c');
  expect(fs.readFileSync(log, 'utf8').startsWith(before)).toBe(true);
  expect(fs.readFileSync(log, 'utf8').split('\n').slice(-2)).toEqual(['3,4,c', '']);
});

test.each([0, 1, 4, 5])('a file that is replaced with room for %i of 5 bytes is the old one or the new one', room => {
  const path = join(folder, 'a.yaml');
  fs.writeFileSync(path, 'old');
  const end = withRoom(room, () => writeAtomic(path, 'fresh'));
  expect([end, fs.readFileSync(path, 'utf8')]).toEqual(room < 5 ? ['ENOSPC', 'old'] : [null, 'fresh']);
  expect(fs.readdirSync(folder)).toEqual(['a.yaml']);
});
