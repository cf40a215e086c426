import { afterEach, describe, expect, it } from 'vitest';
import { FROM_PART, RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { type TestFolder, testFolder, testRepository } from '../folder-io.ts';

let folder: TestFolder;
afterEach(() => folder.remove());

const FILES = { 'a.yaml': WHOLE, 'b.yaml': FROM_PART, 'parts/amber.yaml': RESIN_PART };
const THICK = RESIN_PART.replace('2.4 Pa.s', '3 Pa.s');

async function compare(args: string[], below = '.') {
  const { status, out, err } = await folder.run(['compare', ...args, '--json'], below);
  return { status, err, result: out === '' ? null : JSON.parse(out).result };
}
type Row = { key: string; old: number; new: number; change_pct: number };
const row = (recipe: { results: Row[] }, key: string) => recipe.results.find(r => r.key === key);

describe('compare', () => {
  it('a change of a part shows every recipe that starts from it, and what follows', async () => {
    folder = testRepository(FILES);
    folder.write({ 'parts/amber.yaml': THICK });
    const { status, result } = await compare(['HEAD']);
    expect(status).toBe(0);
    expect(result).toMatchObject({ old: 'HEAD', new: 'work tree', unchanged: 1 });
    expect(result.recipes).toHaveLength(1);
    const [b] = result.recipes;
    expect(b).toMatchObject({ recipe: 'b.yaml', state: 'changed', because: ['parts/amber.yaml'] });
    expect(b.inputs).toEqual([{ path: 'resin.rheology.viscosity', old: '2.4 Pa.s ± 15 %', new: '3 Pa.s ± 15 %' }]);
    // A Newtonian shot at a given pressure and dwell goes with 1/viscosity: 2.4/3 is 20 % less.
    expect(row(b, 'shot.volume_uL')!.change_pct).toBeCloseTo(-20, 6);
    // The window belongs to the connector and does not move.
    expect(b.results.filter((r: Row) => r.key.startsWith('cavity.'))).toEqual([]);
    expect(b.findings).toContainEqual(
      expect.objectContaining({ side: 'new', code: 'shot-outside-tolerance', severity: 'error' }),
    );
  });

  it('two revisions, read without a checkout', async () => {
    folder = testRepository(FILES);
    folder.git('checkout', '-q', '-b', 'thick');
    folder.write({ 'parts/amber.yaml': THICK });
    folder.commit('thick');
    folder.write({ 'parts/amber.yaml': 'not: [yaml' }); // the work tree has no say
    for (const args of [['main..HEAD'], ['main', 'thick'], ['main..thick'], ['HEAD~1..']]) {
      const { result } = await compare(args);
      expect(
        result.recipes.map((r: { recipe: string }) => r.recipe),
        args.join(),
      ).toEqual(['b.yaml']);
    }
    expect((await compare(['thick..main'])).result.recipes[0].inputs[0]).toMatchObject({
      old: '3 Pa.s ± 15 %',
      new: '2.4 Pa.s ± 15 %',
    });
    expect(folder.read('parts/amber.yaml')).toBe('not: [yaml');
    expect(folder.git('status', '--porcelain')).toBe('M parts/amber.yaml');
  });

  it('three dots leave out what the other branch did meanwhile', async () => {
    folder = testRepository(FILES);
    folder.git('checkout', '-q', '-b', 'side');
    folder.write({ 'a.yaml': WHOLE.replace('dwell: 0.52 s', 'dwell: 0.5 s') });
    folder.commit('side');
    folder.git('checkout', '-q', 'main');
    folder.write({ 'parts/amber.yaml': THICK });
    folder.commit('main');
    folder.git('checkout', '-q', 'side');
    const changed = async (range: string) =>
      (await compare([range])).result.recipes.map((r: { recipe: string }) => r.recipe);
    expect(await changed('main...HEAD')).toEqual(['a.yaml']);
    expect(await changed('main..HEAD')).toEqual(['a.yaml', 'b.yaml']);
  });

  it('a recipe without a name goes by its file', async () => {
    folder = testRepository({ 'x.yaml': 'recipe: 1\nneedel: {}\n', 'y.yaml': 'recipe: 1\nneedl: {}\n' });
    expect((await folder.run(['compare', 'x.yaml', 'y.yaml'])).out).toMatch(/^y\.yaml: broken\n/);
  });

  it('added, removed, broken and mended recipes', async () => {
    folder = testRepository({
      ...FILES,
      'gone.yaml': WHOLE,
      'bad.yaml': 'recipe: 1\nneedel: {}\n',
      'same-bad.yaml': 'recipe: 1\nneedel: {}\n',
    });
    folder.delete('gone.yaml');
    folder.delete('parts/amber.yaml');
    folder.write({ 'new.yaml': WHOLE, 'bad.yaml': WHOLE });
    const { status, result } = await compare(['HEAD']);
    expect(status).toBe(0);
    expect(result.recipes.map((r: { recipe: string; state: string }) => [r.recipe, r.state])).toEqual([
      ['b.yaml', 'broken'],
      ['bad.yaml', 'mended'],
      ['gone.yaml', 'removed'],
      ['new.yaml', 'added'],
    ]);
    expect(result.unchanged).toBe(2);
    expect(row(result.recipes[3], 'shot.dwell_s')).toMatchObject({ old: null, new: 0.52, change_pct: null });
    expect(row(result.recipes[2], 'shot.dwell_s')).toMatchObject({ old: 0.52, new: null });
    const { out, err } = await folder.run(['compare', 'HEAD']);
    expect(out).toMatch(/HEAD → work tree: 1 added, 1 removed, 1 broken, 1 mended, 2 unchanged\n$/);
    expect(err).toMatch(/^b\.yaml:\d+:\d+: error: there is no file "parts\/amber\.yaml" \[from-missing\]$/m);
  });

  it('a name, a remark or another unit is no change', async () => {
    folder = testRepository(FILES);
    folder.write({ 'a.yaml': WHOLE.replace('name: Tide-gauge', 'name: Tide gauge').replace('210 kPa', '2.1 bar') });
    expect((await compare(['HEAD'])).result).toMatchObject({ recipes: [], unchanged: 2 });
  });

  it('two files, and two folders by place', async () => {
    folder = testFolder({
      'x/a.yaml': WHOLE,
      'x/only.yaml': WHOLE,
      'y/a.yaml': WHOLE.replace('0.52 s', '0.26 s'),
      'z.yaml': WHOLE,
    });
    const files = (await compare(['x/a.yaml', 'y/a.yaml'])).result;
    expect(files.recipes).toMatchObject([{ recipe: 'y/a.yaml', state: 'changed', because: [] }]);
    expect(row(files.recipes[0], 'shot.volume_uL')!.change_pct).toBeCloseTo(-50, 6); // half the dwell
    const folders = (await compare(['x', 'y'])).result;
    expect(folders.recipes).toMatchObject([{ recipe: 'y/a.yaml' }, { recipe: 'x/only.yaml', state: 'removed' }]);
    expect((await compare(['x/a.yaml', 'z.yaml'])).result).toMatchObject({ recipes: [], unchanged: 1 });
  });

  it('looks at the current folder and below, and --only narrows it', async () => {
    folder = testRepository({ 'a.yaml': WHOLE, 'line/b.yaml': WHOLE, 'line/c.yaml': WHOLE });
    const half = WHOLE.replace('0.52 s', '0.26 s');
    folder.write({ 'a.yaml': half, 'line/b.yaml': half, 'line/c.yaml': half });
    const names = async (args: string[], below?: string) =>
      (await compare(args, below)).result.recipes.map((r: { recipe: string }) => r.recipe);
    expect(await names(['HEAD'], 'line')).toEqual(['b.yaml', 'c.yaml']);
    expect(await names(['HEAD', '--only', 'line/'])).toEqual(['line/b.yaml', 'line/c.yaml']);
    expect(await names(['HEAD', '--only', './line/b.yaml', '--only', 'a.yaml'])).toEqual(['a.yaml', 'line/b.yaml']);
  });

  it('--markdown makes tables, and nothing in a recipe can act on the comment', async () => {
    folder = testRepository(FILES);
    folder.write({
      'a.yaml': WHOLE.replace('name: Tide-gauge pigtail', 'name: "<img src=x> @team [x](y) |"').replace(
        '0.52 s',
        '0.26 s',
      ),
    });
    const { status, out } = await folder.run(['compare', 'HEAD', '--markdown']);
    expect(status).toBe(0);
    expect(out).toMatch(/^## Recipes: 1 changed, 1 unchanged\n/);
    expect(out).toContain('| `settings.dwell` | `0.52 s` | `0.26 s` |');
    expect(out).toMatch(/^\| `shot\.volume_uL` \| [\d.]+ \| [\d.]+ \| -50 % \|$/m);
    expect(out).not.toMatch(/<img|@team|\[x\]/);
    for (const line of out.split('\n').filter(line => line.startsWith('|'))) {
      expect([4, 5], line).toContain(line.match(/(?<!\\)\|/g)!.length);
    }
  });

  it('--markdown ends before a comment is too long', async () => {
    const many = Object.fromEntries(
      Array.from({ length: 60 }, (_, i) => [`r${String(i).padStart(2, '0')}.yaml`, WHOLE]),
    );
    folder = testRepository({ 'keep.txt': '' });
    folder.write(many);
    const { out } = await folder.run(['compare', 'HEAD', '--markdown']);
    expect(out.length).toBeLessThan(65_536);
    expect(out).toMatch(/^\d+ more recipes: too long for a comment\./m);
  });

  it('says what is wrong with the call', async () => {
    folder = testRepository(FILES);
    expect(await folder.run(['compare', 'nowhere'])).toMatchObject({
      status: 2,
      err: expect.stringContaining('"nowhere" is no revision of this repository'),
    });
    expect(await folder.run(['compare', 'a.yaml'])).toMatchObject({ status: 2 });
    expect(await folder.run(['compare', 'a.yaml', 'parts'])).toMatchObject({ status: 2 });
    expect(await folder.run(['compare', 'a.yaml', 'nowhere.yaml'])).toMatchObject({
      status: 3,
      err: expect.stringContaining('nowhere.yaml: there is no such file'),
    });
    expect(await folder.run(['compare', 'HEAD', '--markdown', '--json'])).toMatchObject({ status: 2 });
    folder.remove();
    folder = testFolder(FILES);
    expect(await folder.run(['compare', 'HEAD'])).toMatchObject({
      status: 2,
      err: expect.stringContaining('is in no git repository'),
    });
  });

  it('text: inputs, results and findings, lines of at most 80 characters', async () => {
    folder = testRepository(FILES);
    folder.write({ 'parts/amber.yaml': THICK });
    const { out } = await folder.run(['compare', 'HEAD']);
    expect(out).toMatch(/^Tide-gauge pigtail \(b\.yaml\): changed through parts\/amber\.yaml\n/);
    for (const line of out.split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  });
});
