import { symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { GitError, gitCommit, gitMergeBase } from '../../src/files/git.ts';
import { gitChanges } from '../../src/files/git-changes.ts';
import { gitFileSystem } from '../../src/files/git-file-system.ts';
import { loadRecipe } from '../../src/recipe/format/load.ts';
import { type TestFolder, testFolder, testRepository } from '../cli/folder-io.ts';
import { FROM_PART, RESIN_PART } from '../helpers/part-recipes.ts';

let folder: TestFolder;
afterEach(() => folder.remove());

const text = (bytes: Uint8Array) => new TextDecoder().decode(bytes);

describe('the files of a revision', () => {
  it('are those of the commit, whatever the work tree holds', () => {
    folder = testRepository({ 'a.yaml': 'old: 1\n', 'sub/ä b.yaml': 'x: 2\n' });
    folder.write({ 'a.yaml': 'new: 1\n', 'c.yaml': 'fresh: 1\n' });
    folder.delete('sub/ä b.yaml');
    const fs = gitFileSystem(folder.path, 'HEAD');
    expect(fs.paths).toEqual(['a.yaml', 'sub/ä b.yaml']);
    expect(text(fs.readBytes('a.yaml'))).toBe('old: 1\n');
    expect(text(fs.readBytes(join(folder.path, 'sub/ä b.yaml')))).toBe('x: 2\n');
    expect([fs.exists('sub'), fs.exists('c.yaml'), fs.exists('.git')]).toEqual([true, false, true]);
    expect(fs.realPath('sub/../a.yaml')).toBe(join(folder.path, 'a.yaml'));
    expect(fs.commit).toBe(folder.git('rev-parse', 'HEAD'));
  });

  it('relative paths start at the folder', () => {
    folder = testRepository({ 'a.yaml': '1', 'sub/b.yaml': '2' });
    const fs = gitFileSystem(join(folder.path, 'sub'), 'HEAD');
    expect([text(fs.readBytes('b.yaml')), text(fs.readBytes('../a.yaml'))]).toEqual(['2', '1']);
  });

  it('keeps bytes as they are', () => {
    folder = testRepository({ 'a.yaml': '\ufeffa: µ\r\n\u0000\n', 'empty.yaml': '', 'data.bin': 'not yaml' });
    const fs = gitFileSystem(folder.path, 'HEAD');
    expect(new TextDecoder('utf-8', { ignoreBOM: true }).decode(fs.readBytes('a.yaml'))).toBe('\ufeffa: µ\r\n\u0000\n');
    expect(fs.readBytes('empty.yaml')).toHaveLength(0);
    expect(text(fs.readBytes('data.bin', 3))).toBe('not');
    expect(text(fs.readBytes('data.bin'))).toBe('not yaml');
  });

  it('follows links inside, and none that leads out', () => {
    folder = testRepository({ 'parts/a.yaml': 'a: 1\n' });
    symlinkSync('parts', join(folder.path, 'library'));
    symlinkSync('../parts/a.yaml', join(folder.path, 'parts/self.yaml'));
    symlinkSync('../../etc', join(folder.path, 'parts/out'));
    symlinkSync('/etc/hostname', join(folder.path, 'absolute.yaml'));
    symlinkSync('loop', join(folder.path, 'loop'));
    folder.commit('links');
    const fs = gitFileSystem(folder.path, 'HEAD');
    expect(text(fs.readBytes('library/self.yaml'))).toBe('a: 1\n');
    expect(fs.realPath('library/a.yaml')).toBe(join(folder.path, 'parts/a.yaml'));
    for (const path of ['parts/out', 'absolute.yaml', 'loop', '../x']) {
      expect(fs.exists(path), path).toBe(false);
      expect(() => fs.readBytes(path)).toThrow(expect.objectContaining({ code: 'ENOENT' }));
    }
  });

  it('recipes load from them, with their parts, and `from` still may not leave the root', async () => {
    folder = testRepository({
      'b.yaml': FROM_PART,
      'parts/amber.yaml': RESIN_PART,
      'c.yaml': 'recipe: 1\nresin: {from: ../x.yaml}\n',
    });
    folder.delete('parts/amber.yaml');
    const fs = gitFileSystem(folder.path, 'HEAD');
    const loaded = await loadRecipe('b.yaml', fs);
    expect(loaded.findings).toEqual([]);
    expect(loaded.files).toEqual(['b.yaml', 'parts/amber.yaml']);
    expect((await loadRecipe('c.yaml', fs)).findings).toMatchObject([{ code: 'from-outside-root' }]);
  });

  it.each(['nowhere', '--help', '', 'HEAD:a.yaml'])('%j is no revision', revision => {
    folder = testRepository({ 'a.yaml': '1' });
    expect(() => gitFileSystem(folder.path, revision)).toThrow(
      expect.objectContaining({
        name: 'GitError',
        kind: 'no-revision',
        message: `"${revision}" is no revision of this repository`,
      }),
    );
  });

  it('says when there is no repository', () => {
    folder = testFolder({ 'a.yaml': '1' });
    expect(() => gitFileSystem(folder.path, 'HEAD')).toThrow(GitError);
    expect(() => gitFileSystem(folder.path, 'HEAD')).toThrow(/is in no git repository$/);
  });
});

describe('changed files', () => {
  const NAMES = ['a.yaml', 'b.yaml', 'c.yaml', 'd.yaml', 'e.yaml', 'new é.yaml', 'sub/f.yaml', 'ignored', 'nowhere'];
  const changedOf = (names: readonly string[], commit: string) => {
    const changed = gitChanges(folder.path, commit);
    return names.filter(name => changed(join(folder.path, name)));
  };

  it.each(['sha1', 'sha256'])(
    'are those committed since, staged, changed, removed and new, not those ignored: %s',
    digest => {
      folder = testFolder();
      folder.git('init', '-q', '-b', 'main', `--object-format=${digest}`);
      folder.write({
        '.gitignore': 'ignored\n',
        'a.yaml': '1',
        'b.yaml': '1',
        'c.yaml': '1',
        'd.yaml': '1',
        'e.yaml': '1',
      });
      folder.commit('first');
      const first = gitCommit(folder.path, 'HEAD');
      folder.write({ 'a.yaml': '2' });
      folder.commit('second');
      folder.write({ 'b.yaml': '2', 'c.yaml': '2', 'new é.yaml': '1', 'sub/f.yaml': '1', ignored: '1' });
      folder.git('add', 'c.yaml');
      folder.delete('d.yaml');
      expect(changedOf(NAMES, first)).toEqual(['a.yaml', 'b.yaml', 'c.yaml', 'd.yaml', 'new é.yaml', 'sub/f.yaml']);
      expect(changedOf(NAMES, gitCommit(folder.path, 'HEAD'))).not.toContain('a.yaml');
    },
  );

  it('are not those with other ends of lines alone', () => {
    folder = testRepository({ 'a.yaml': 'a: µ\nb: 2\n', 'b.yaml': 'a: µ\nb: 2\n' });
    folder.write({ 'a.yaml': 'a: µ\r\nb: 2\r\n', 'b.yaml': 'a: µ\r\nb: 3\r\n' });
    expect(changedOf(['a.yaml', 'b.yaml'], 'HEAD')).toEqual(['b.yaml']);
  });

  it('are links that lead elsewhere, and what stands where a link or a folder was', () => {
    folder = testRepository({ 'parts/a.yaml': '1', 'other/a.yaml': '1', 'x.yaml': '1' });
    for (const name of ['same', 'moved', 'file']) symlinkSync('parts', join(folder.path, name));
    folder.commit('links');
    for (const name of ['moved', 'file', 'x.yaml']) folder.delete(name);
    symlinkSync('other', join(folder.path, 'moved'));
    folder.write({ file: 'parts', 'x.yaml/a.yaml': '1' });
    expect(changedOf(['same/a.yaml', 'moved/a.yaml', 'file', 'x.yaml/a.yaml', 'parts/a.yaml'], 'HEAD')).toEqual([
      'moved/a.yaml',
      'file',
      'x.yaml/a.yaml',
    ]);
  });

  it('know where two histories parted', () => {
    folder = testRepository({ 'a.yaml': '1' });
    const base = gitCommit(folder.path, 'main');
    folder.git('checkout', '-q', '-b', 'side');
    folder.commit('side');
    folder.git('checkout', '-q', 'main');
    folder.commit('main');
    expect(gitMergeBase(folder.path, 'main', 'side')).toBe(base);
    folder.git('checkout', '-q', '--orphan', 'other');
    folder.commit('other');
    expect(gitMergeBase(folder.path, 'main', 'other')).toBeNull();
  });
});
