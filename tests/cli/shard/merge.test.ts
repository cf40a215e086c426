import { afterEach, describe, expect, it } from 'vitest';
import { ownUnits } from '../../../src/cli/shard/shard.ts';
import { VERSION } from '../../../src/version.ts';
import { FROM_PART, RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';

let folder: TestFolder;
afterEach(() => folder.remove());

/** Sound recipes, one with a warning, one that is broken, and a part: eight files, so that seven shards share unevenly. */
const FILES = {
  'a.yaml': WHOLE,
  'b.yaml': WHOLE.replace('2.4 Pa.s', '2.6 Pa.s'),
  'broken.yaml': WHOLE.replace('2.4 Pa.s', '2.4 Pas'),
  'line/c.yaml': FROM_PART.replace('parts/', '../parts/'),
  'line/d.yaml': FROM_PART.replace('parts/', '../parts/').replace('0.52 s', '0.9 s'),
  'line/e.yaml': WHOLE.replace('0.52 s', '0.521 s'),
  'line/f.yaml': WHOLE.replace('fill: 0.5 mL', 'fill: 2.5 mL'),
  'parts/amber.yaml': RESIN_PART,
};

function recipes(): TestFolder {
  folder = testFolder({ ...FILES, '.git/HEAD': '' });
  return folder;
}

/** Runs a call as n shards; the names of their files. */
async function shards(argv: readonly string[], n: number): Promise<string[]> {
  const files: string[] = [];
  for (let i = n; i >= 1; i--) {
    const file = `shard-${i}-of-${n}.json`;
    const { status, err } = await folder.run([...argv, '--shard', `${i}/${n}`, '-o', file]);
    expect({ status, err }).toEqual({ status: 0, err: '' });
    files.push(file);
  }
  return files;
}

const COUNTS = [1, 2, 7];

describe('shards put together are one run, byte for byte', () => {
  it.each([
    { name: 'check', argv: ['check', '.'], shown: ['--json'] },
    { name: 'check, for people', argv: ['check', '.'], shown: [] },
    { name: 'check, annotations', argv: ['check', 'line', 'a.yaml'], shown: ['--format', 'github'] },
    { name: 'check, SARIF', argv: ['check', 'line/*.yaml', '.'], shown: ['--format', 'sarif'] },
    { name: 'check with an override', argv: ['check', 'line', '--set', 'settings.dwell=0.4 s'], shown: ['--json'] },
    {
      name: 'sweep',
      argv: ['sweep', 'a.yaml', '--grid', 'settings.dwell=0.2:0.6 s:5', '--take', 'shot.volume_uL'],
      shown: [],
    },
    {
      name: 'sweep as JSON, some points impossible',
      argv: ['sweep', 'a.yaml', '--grid', 'settings.dwell=-0.2:0.6 s:9', '--take', 'shot.volume_uL,shot.within_window'],
      shown: ['--json'],
    },
    { name: 'spread', argv: ['spread', 'a.yaml', 'broken.yaml', '--samples', '1000'], shown: ['--json'] },
    { name: 'rehearse, several', argv: ['rehearse', 'a.yaml', 'broken.yaml', '--samples', '40'], shown: ['--json'] },
    { name: 'rehearse, one by its syringes', argv: ['rehearse', 'a.yaml', '--samples', '160'], shown: ['--json'] },
    {
      name: 'rehearse, one by its lots',
      argv: ['rehearse', 'a.yaml', '--samples', '150', '--follow', '--per-lot', '25', '--per-needle', '5'],
      shown: ['--json'],
    },
    {
      name: 'rehearse, what cannot be',
      argv: ['rehearse', 'a.yaml', '--samples', '100', '--set', 'process.takt=null'],
      shown: ['--json'],
    },
  ])(
    '$name',
    async ({ argv, shown }) => {
      recipes();
      const whole = await folder.run([...argv, ...shown]);
      for (const n of COUNTS) {
        const merged = await folder.run(['merge', ...(await shards(argv, n)), ...shown]);
        expect(merged).toEqual(whole);
      }
      expect(whole.out.length).toBeGreaterThan(50);
    },
    60_000,
  );

  it('files of reports, tables and locks', async () => {
    recipes();
    const sweep = ['sweep', 'a.yaml', '--grid', 'settings.dwell=0.2:0.6 s:4', '--take', 'shot.volume_uL'];
    await folder.run([...sweep, '-o', 'whole.csv']);
    await folder.run(['check', '.', '--report', 'junit=whole.xml', '--max-warnings', '0']);
    expect((await folder.run(['freeze', '.', '--lock', 'dwellbook.lock'])).status).toBe(1); // one is broken
    const lock = folder.read('dwellbook.lock');
    folder.delete('dwellbook.lock');
    for (const n of COUNTS) {
      await folder.run(['merge', ...(await shards(sweep, n)), '-o', 'merged.csv']);
      expect(folder.read('merged.csv')).toBe(folder.read('whole.csv'));
      const checked = await shards(['check', '.'], n);
      await folder.run(['merge', ...checked, '--report', 'junit=merged.xml']);
      expect(folder.read('merged.xml')).toBe(folder.read('whole.xml'));
      const frozen = await shards(['freeze', '.', '--lock', 'dwellbook.lock'], n);
      expect(folder.has('dwellbook.lock')).toBe(false);
      const { status, out } = await folder.run(['merge', ...frozen]);
      expect(status).toBe(1);
      expect(out).toMatch(/recipes frozen: dwellbook\.lock\n$/);
      expect(folder.read('dwellbook.lock')).toBe(lock);
      folder.delete('dwellbook.lock');
    }
    expect(lock.length).toBeGreaterThan(1000);
  }, 60_000);

  it('the verdict is that of one run', async () => {
    recipes();
    const argv = ['check', 'a.yaml', 'line/f.yaml']; // a warning in the second
    const files = await shards(argv, 2);
    expect((await folder.run(['merge', ...files])).status).toBe(0);
    expect((await folder.run(['merge', ...files, '--max-warnings', '0'])).status).toBe(1);
    expect((await folder.run(['merge', ...(await shards([...argv, '--max-warnings', '0'], 2))])).status).toBe(1);
    expect((await folder.run(['merge', ...(await shards(['check', '.'], 2))])).status).toBe(1);
  });
});

describe('shares', () => {
  it('are a partition, the same for the same names, and differ by one unit at most', () => {
    const units = Array.from({ length: 101 }, (_, i) => `line-${i % 3}/${i}.yaml`);
    for (const of of [1, 2, 7, 100, 200]) {
      const shares = Array.from({ length: of }, (_, i) => ownUnits(units, { shard: i + 1, of }));
      expect(shares.flat().sort((a, b) => a - b)).toEqual(units.map((_, i) => i));
      const sizes = shares.map(share => share.length);
      expect(Math.max(...sizes) - Math.min(...sizes)).toBeLessThanOrEqual(1);
    }
  });

  it.each(['0/2', '3/2', '1/0', '2', '1/2/3', '1/-2', 'a/b', '1/1001', ''])('--shard %s is none', async text => {
    recipes();
    const { status, err } = await folder.run(['check', '.', '--shard', text]);
    expect(status).toBe(2);
    expect(err).toContain('Write i/n');
  });

  it('read no file of the others', async () => {
    recipes();
    const { out } = await folder.run(['check', '.', '--shard', '1/7']);
    const mine = new Set(JSON.parse(out).done.map(([unit]: [number]) => unit));
    const names = (await folder.run(['check', '.', '--shard', '1/1'])).out;
    const files = JSON.parse(names).done.map(
      ([, piece]: [number, { file?: string; part?: string }]) => piece.file ?? piece.part,
    );
    for (const [i, file] of files.entries()) if (!mine.has(i)) folder.delete(file);
    // Of the same files, so of other units: the list has changed, and merging says so.
    const alone = await folder.run(['check', '.', '--shard', '1/1', '-o', 'alone.json']);
    expect(alone.status).toBe(0);
  });
});

describe('what cannot be put together says why', () => {
  it('shards missing, twice, of other calls, cut short, of another version', async () => {
    recipes();
    const [third, second, first] = (await shards(['check', '.'], 3)) as [string, string, string];
    const merge = async (...files: string[]) => {
      const { status, err, out } = await folder.run(['merge', ...files]);
      expect(out).toBe('');
      return `${status} ${err.trim()}`;
    };
    expect(await merge(first)).toBe('2 error: shards 2, 3 are missing, of 3');
    expect(await merge(first, third)).toBe('2 error: shard 2 is missing, of 3');
    expect(await merge(first, second, second)).toMatch(/^2 error: shard 2 stands twice/);
    const [other] = await shards(['check', 'line'], 1);
    expect(await merge(first, second, other!)).toMatch(/^2 error: .* are not of one call: shares of 3 and of 1$/);
    const json = folder.read(third);
    folder.write({ 'cut.json': json.slice(0, -20) });
    expect(await merge(first, second, 'cut.json')).toMatch(/^3 error: cut\.json: this is no JSON/);
    folder.write({ 'old.json': json.replace(`"version":"${VERSION}"`, '"version":"0.0.1"') });
    expect(await merge(first, second, 'old.json')).toMatch(/^3 error: old\.json: written by version 0\.0\.1/);
    folder.write({ 'recipe.json': '{"recipe": 1}' });
    expect(await merge('recipe.json')).toBe('3 error: recipe.json: this is no file that --shard wrote');
    expect(await merge('none.json')).toMatch(/^3 error: /);
    folder.write({ 'g.yaml': WHOLE });
    const { out } = await folder.run(['check', '.', '--shard', '3/3', '-o', 'later.json']);
    expect(out).toBe('');
    expect(await merge(first, second, 'later.json')).toMatch(/are not of one call: other files were found$/);
  });

  it('a file with a share that nothing of ours wrote ends with a message, and nothing is written', async () => {
    recipes();
    await shards(['freeze', '.'], 1);
    const shard = JSON.parse(folder.read('shard-1-of-1.json'));
    const hostile = async (change: object, ...flags: string[]) => {
      folder.write({ 'hostile.json': JSON.stringify({ ...shard, ...change }) });
      return folder.run(['merge', 'hostile.json', ...flags]);
    };
    for (const change of [
      { whole: null },
      { whole: { lock: '../dwellbook.lock.yaml' } },
      { whole: { lock: 'a.yaml' } },
      { done: shard.done.map(([unit]: [number]) => [unit, null]) },
      { done: shard.done.map(([unit]: [number]) => [unit, { path: 1, entry: {}, lock: 'lock: 1' }]) },
      { command: 'constructor' },
      { command: 'new' },
      { call: { args: [1] } },
      { call: [] },
      { units: 3 },
      { units: 1e9 },
      { units: Number.MAX_SAFE_INTEGER },
      { of: 1e9 },
    ]) {
      const { status } = await hostile(change);
      expect([1, 2, 3]).toContain(status);
    }
    expect(folder.has('../dwellbook.lock.yaml')).toBe(false);
    expect(folder.has('dwellbook.lock.yaml')).toBe(false);
    for (const [name, text] of Object.entries(FILES)) expect(folder.read(name)).toBe(text);
  });
});
