import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { root } from './cli/built-program.ts';

// Plain JavaScript, for it builds what is to run.
const { isBuilt, partsFolder, putInPlace, removeOldParts } = await import(join(root, '.build', 'put-in-place.mjs'));

const FIRST = 'a'.repeat(64);
const SECOND = 'b'.repeat(64);

let folder = '';
let dist = '';

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'dwellbook-build-'));
  dist = join(folder, 'dist');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('a build put in place', () => {
  it('is whole, with its stamp, and without what the one before had beside its parts', () => {
    putInPlace(made(FIRST, { 'program.cjs': 'one', 'types/old.d.ts': '' }), dist);
    expect(isBuilt(dist, FIRST)).toBe(true);
    putInPlace(made(SECOND, { 'program.cjs': 'two' }), dist);
    expect([isBuilt(dist, FIRST), isBuilt(dist, SECOND)]).toEqual([false, true]);
    expect(readFileSync(join(dist, 'program.cjs'), 'utf8')).toBe('two');
    expect(existsSync(join(dist, 'types', 'old.d.ts'))).toBe(false);
  });

  it('leaves the parts that a call of the build before still reads', () => {
    putInPlace(made(FIRST), dist);
    putInPlace(made(SECOND), dist);
    removeOldParts(dist, SECOND, 60_000);
    for (const digest of [FIRST, SECOND]) {
      expect(readFileSync(join(dist, partsFolder(digest), 'yaml.cjs'), 'utf8')).toBe(digest);
    }
  });

  it('drops parts of earlier builds when they are old, and for the package at once', () => {
    putInPlace(made(FIRST), dist);
    putInPlace(made(SECOND), dist);
    const hourAgo = new Date(Date.now() - 3600_000);
    utimesSync(join(dist, partsFolder(FIRST)), hourAgo, hourAgo);
    removeOldParts(dist, SECOND, 1800_000);
    expect(readdirSync(dist).filter(name => name.startsWith('parts-'))).toEqual([partsFolder(SECOND)]);

    putInPlace(made(FIRST), dist);
    removeOldParts(dist, FIRST, 0);
    expect(readdirSync(dist).filter(name => name.startsWith('parts-'))).toEqual([partsFolder(FIRST)]);
  });

  it('counts as none where it ended in the middle', () => {
    putInPlace(made(FIRST), dist);
    const next = made(SECOND);
    mkdirSync(join(dist, 'program.cjs.d'), { recursive: true });
    writeFileSync(join(next, 'program.cjs.d'), 'cannot replace a folder');
    expect(() => putInPlace(next, dist)).toThrow();
    expect([isBuilt(dist, FIRST), isBuilt(dist, SECOND)]).toEqual([false, false]);
    expect(readFileSync(join(dist, partsFolder(FIRST), 'yaml.cjs'), 'utf8')).toBe(FIRST);
  });
});

/** A finished build beside `dist`. */
function made(digest: string, files: Record<string, string> = { 'program.cjs': digest }): string {
  const path = join(folder, `made-${digest.slice(0, 4)}`);
  const all = { ...files, [`${partsFolder(digest)}/yaml.cjs`]: digest, '.stamp': digest };
  for (const [name, text] of Object.entries(all)) {
    mkdirSync(dirname(join(path, name)), { recursive: true });
    writeFileSync(join(path, name), text);
  }
  return path;
}
