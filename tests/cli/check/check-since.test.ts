import { mkdirSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { FROM_PART, RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { type TestFolder, testFolder, testRepository } from '../folder-io.ts';

let folder: TestFolder;
afterEach(() => folder.remove());

const FILES = {
  'a.yaml': WHOLE,
  'line/b.yaml': FROM_PART.replace('parts/', '../parts/'),
  'parts/amber.yaml': RESIN_PART,
};

async function touched(revision: string, ...more: string[]): Promise<string[]> {
  const { out } = await folder.run(['check', '--since', revision, '--json', ...more]);
  return [JSON.parse(out)].flat().map(d => d.recipe);
}

describe('check --since', () => {
  it('checks nothing when nothing was touched, and says so', async () => {
    folder = testRepository(FILES);
    folder.write({ 'README.md': 'words' });
    const { status, err, out } = await folder.run(['check', '--since', 'HEAD']);
    expect({ status, err }).toEqual({ status: 0, err: 'no recipe was touched since HEAD\n' });
    expect(out).toMatch(/^0 recipes checked/);
    expect(await touched('HEAD')).toEqual([]);
    expect(await touched('HEAD', 'a.yaml')).toEqual([]);
  });

  it('checks recipes that are changed, staged, new or committed since', async () => {
    folder = testRepository(FILES);
    folder.write({ 'a.yaml': `${WHOLE}# a remark\n` });
    expect(await touched('HEAD')).toEqual(['a.yaml']);
    folder.git('add', '-A');
    expect(await touched('HEAD')).toEqual(['a.yaml']);
    folder.commit('second');
    expect(await touched('HEAD')).toEqual([]);
    expect(await touched('HEAD~1')).toEqual(['a.yaml']);
    folder.write({ 'c.yaml': WHOLE });
    expect(await touched('HEAD')).toEqual(['c.yaml']);
  });

  it('a part touches all that start from it, also by way of other parts', async () => {
    folder = testRepository({
      ...FILES,
      'parts/winter.yaml': 'from: amber.yaml\nlot_factor: "1.1"\n',
      'line/d.yaml': FROM_PART.replace('parts/amber', '../parts/winter'),
    });
    folder.write({ 'parts/amber.yaml': `${RESIN_PART}# a remark\n` });
    expect(await touched('HEAD')).toEqual(['line/b.yaml', 'line/d.yaml']);
  });

  it('a part that went is found by the recipe that lacks it', async () => {
    folder = testRepository(FILES);
    folder.delete('parts/amber.yaml');
    expect(await touched('HEAD')).toEqual(['line/b.yaml']);
    expect((await folder.run(['check', '--since', 'HEAD'])).status).toBe(1);
  });

  it('a part reached over a link counts', async () => {
    folder = testRepository(FILES);
    mkdirSync(join(folder.path, 'x'));
    symlinkSync('../parts', join(folder.path, 'x/library'));
    folder.write({ 'x/e.yaml': FROM_PART.replace('parts/', 'library/') });
    folder.commit('link');
    folder.write({ 'parts/amber.yaml': `${RESIN_PART}# a remark\n` });
    expect(await touched('HEAD')).toEqual(['line/b.yaml', 'x/e.yaml']);
  });

  it('leaves out what the other branch did since they parted', async () => {
    folder = testRepository(FILES);
    folder.git('checkout', '-q', '-b', 'side');
    folder.write({ 'a.yaml': `${WHOLE}# a remark\n` });
    folder.commit('side');
    folder.git('checkout', '-q', 'main');
    folder.write({ 'parts/amber.yaml': `${RESIN_PART}# a remark\n` });
    folder.commit('main');
    folder.git('checkout', '-q', 'side');
    expect(await touched('main')).toEqual(['a.yaml']);
  });

  it('works below the top of the repository', async () => {
    folder = testRepository(FILES);
    folder.write({ 'parts/amber.yaml': `${RESIN_PART}# a remark\n` });
    const { out } = await folder.run(['check', '--since', 'HEAD', '--json'], 'line');
    expect(JSON.parse(out).map((d: { recipe: string }) => d.recipe)).toEqual(['b.yaml']);
  });

  it('says what is wrong with the call', async () => {
    folder = testRepository(FILES);
    expect(await folder.run(['check', '--since', 'nowhere'])).toMatchObject({ status: 2 });
    expect(await folder.run(['check', '-', '--since', 'HEAD'], '.', WHOLE)).toMatchObject({ status: 2 });
    folder.remove();
    folder = testFolder(FILES);
    expect(await folder.run(['check', '--since', 'HEAD'])).toMatchObject({ status: 2 });
  });

  it('takes the repository of the recipe where the current folder is in another one or in none', async () => {
    folder = testFolder();
    folder.write({ 'outside/notes.md': 'words' });
    const other = testRepository(FILES);
    try {
      other.write({ 'a.yaml': `${WHOLE}# a remark\n` });
      expect(await touched('HEAD', other.path)).toEqual([`${other.path}/a.yaml`]);
      folder.git('init', '-q', '-b', 'main');
      folder.commit('first');
      expect(await touched('HEAD', other.path)).toEqual([`${other.path}/a.yaml`]);
    } finally {
      other.remove();
    }
  });

  it('a recipe in a submodule is held to the commit of it that the revision names', async () => {
    const library = testRepository(FILES);
    folder = testRepository({ 'own.yaml': WHOLE });
    try {
      folder.git('-c', 'protocol.file.allow=always', 'submodule', '--quiet', 'add', library.path, 'library');
      folder.commit('second');
      expect(await touched('HEAD')).toEqual([]);
      folder.write({ 'library/parts/amber.yaml': `${RESIN_PART}# a remark\n` });
      expect(await touched('HEAD')).toEqual(['library/line/b.yaml']);
      folder.git('-C', 'library', 'commit', '-qam', 'moved');
      expect(await touched('HEAD')).toEqual(['library/line/b.yaml']);
      folder.commit('third');
      expect(await touched('HEAD')).toEqual([]);
      expect(await touched('HEAD~1')).toEqual(['library/line/b.yaml']);
      expect(await touched('HEAD~2')).toEqual(['library/a.yaml', 'library/line/b.yaml']);
    } finally {
      library.remove();
    }
  });
});
