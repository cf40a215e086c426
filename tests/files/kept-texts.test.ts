import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { cacheFolder, keptTexts } from '../../src/files/kept-texts.ts';

let base: string;
beforeEach(() => {
  base = mkdtempSync(join(tmpdir(), 'dwellbook-kept-'));
});
afterEach(() => rmSync(base, { recursive: true, force: true }));

const fileOf = (folder: string) => join(folder, readdirSync(folder)[0]!);

describe('texts kept for a user', () => {
  it('come back to the program that kept them, by their key, and to no other', () => {
    keptTexts(base, 'one').put('a key', 'a text, µL\n');
    expect(keptTexts(base, 'one').get('a key')).toBe('a text, µL\n');
    expect(keptTexts(base, 'one').get('another key')).toBeNull();
    expect(keptTexts(base, 'two').get('a key')).toBeNull();
  });

  it.each([
    ['cut short', (text: string) => text.slice(0, -1)],
    ['changed', (text: string) => text.replace('a text', 'b text')],
    ['empty', () => ''],
    ['no text of ours', () => '{"a": 1}'],
  ])('are not there when they are %s', (_, damage) => {
    const kept = keptTexts(base, 'one');
    kept.put('a key', 'a text');
    const file = fileOf(kept.folder);
    writeFileSync(file, damage(readFileSync(file, 'utf8')));
    expect(kept.get('a key')).toBeNull();
  });

  it('are not there when they stand behind a link', () => {
    const kept = keptTexts(base, 'one');
    kept.put('a key', 'a text');
    const file = fileOf(kept.folder);
    const elsewhere = join(base, 'elsewhere');
    writeFileSync(elsewhere, readFileSync(file));
    rmSync(file);
    symlinkSync(elsewhere, file);
    expect(kept.get('a key')).toBeNull();
  });

  it('are neither believed nor kept where others may write', () => {
    const kept = keptTexts(base, 'one');
    kept.put('a key', 'a text');
    chmodSync(kept.folder, 0o777);
    expect(keptTexts(base, 'one').get('a key')).toBeNull();
    keptTexts(base, 'one').put('another', 'text');
    expect(readdirSync(kept.folder)).toHaveLength(1);
    chmodSync(kept.folder, 0o700);
    expect(keptTexts(base, 'one').get('a key')).toBe('a text');
    // A folder that somebody else has put there as a link.
    const other = join(base, 'other');
    mkdirSync(join(other, 'made'), { recursive: true });
    mkdirSync(join(other, 'base'));
    symlinkSync(join(other, 'made'), join(other, 'base', 'dwellbook'));
    keptTexts(join(other, 'base'), 'one').put('a key', 'a text');
    expect(readdirSync(join(other, 'made'))).toEqual([]);
  });

  it('are left out without a word where nothing can be written, or where they are too long', () => {
    const file = join(base, 'file');
    writeFileSync(file, '');
    const nowhere = keptTexts(join(file, 'below'), 'one');
    nowhere.put('a key', 'a text');
    expect(nowhere.get('a key')).toBeNull();
    const kept = keptTexts(base, 'one');
    kept.put('a key', 'x'.repeat(100_000));
    expect(kept.get('a key')).toBeNull();
  });

  it('of other programs go when they are old', () => {
    for (const name of ['old', 'young']) keptTexts(base, name).put('a key', 'a text');
    const old = join(base, 'dwellbook', 'old');
    utimesSync(old, new Date(), new Date(Date.now() - 31 * 24 * 3600_000));
    keptTexts(base, 'new').put('a key', 'a text');
    expect(existsSync(old)).toBe(false);
    expect(keptTexts(base, 'young').get('a key')).toBe('a text');
  });
});

// XDG Base Directory Specification 0.8: "All paths set in these environment variables must be absolute. If an
// implementation encounters a relative path … it should consider the path invalid and ignore it."
it('the folder is that of the environment, or none', () => {
  expect(cacheFolder({ XDG_CACHE_HOME: '/var/cache/me', HOME: '/home/me' })).toBe('/var/cache/me');
  expect(cacheFolder({ XDG_CACHE_HOME: 'cache', HOME: '/home/me' })).toBe('/home/me/.cache');
  expect(cacheFolder({ HOME: '/home/me' })).toBe('/home/me/.cache');
  expect(cacheFolder({ HOME: '' })).toBeNull();
  expect(cacheFolder({})).toBeNull();
});
