import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { nodeFileSystem } from '../../src/files/node-file-system.ts';
import { writeAtomic } from '../../src/files/write-atomic.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'write-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('writing a file as a whole', () => {
  test('makes a new one, replaces an old one and leaves nothing else behind', () => {
    const path = join(folder, 'a.yaml');
    writeAtomic(path, 'one');
    writeAtomic(path, new TextEncoder().encode('two µ'));
    expect(readFileSync(path, 'utf8')).toBe('two µ');
    expect(readdirSync(folder)).toEqual(['a.yaml']);
  });

  test('keeps the permissions', () => {
    const path = join(folder, 'a.yaml');
    writeFileSync(path, 'one');
    chmodSync(path, 0o640);
    writeAtomic(path, 'two');
    expect(statSync(path).mode & 0o777).toBe(0o640);
  });

  test('writes through a link to its target', () => {
    writeFileSync(join(folder, 'target'), 'one');
    symlinkSync('target', join(folder, 'link'));
    writeAtomic(join(folder, 'link'), 'two');
    expect(readFileSync(join(folder, 'target'), 'utf8')).toBe('two');
    expect(readdirSync(folder).sort()).toEqual(['link', 'target']);
  });

  test('cleans up and passes the failure on', () => {
    mkdirSync(join(folder, 'sub'));
    expect(() => writeAtomic(join(folder, 'sub'), 'x')).toThrow(/EISDIR/);
    expect(() => writeAtomic(join(folder, 'none', 'a'), 'x')).toThrow(/ENOENT/);
    // A content that cannot be written fails after the new file was made beside the old.
    writeFileSync(join(folder, 'kept'), 'old');
    expect(() => writeAtomic(join(folder, 'kept'), null as unknown as string)).toThrow(TypeError);
    expect(readFileSync(join(folder, 'kept'), 'utf8')).toBe('old');
    expect(readdirSync(folder).sort()).toEqual(['kept', 'sub']);
  });
});

test('the files of the machine: bytes, links and what is missing', () => {
  writeFileSync(join(folder, 'a'), 'x');
  symlinkSync('a', join(folder, 'b'));
  expect(nodeFileSystem.realPath(join(folder, 'b'))).toBe(nodeFileSystem.realPath(join(folder, 'a')));
  expect([...nodeFileSystem.readBytes(join(folder, 'b'))]).toEqual([0x78]);
  expect(nodeFileSystem.exists(join(folder, 'c'))).toBe(false);
  expect(() => nodeFileSystem.readBytes(join(folder, 'c'))).toThrow(/ENOENT/);
});
