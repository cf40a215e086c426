import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeAll, describe, expect, it } from 'vitest';
import { type KeptTexts, keptTexts } from '../../../src/files/kept-texts.ts';
import { WHOLE } from '../../helpers/part-recipes.ts';
import { BUILD_TIME, build, root } from '../built-program.ts';
import { type TestFolder, testFolder } from '../folder-io.ts';

let folder: TestFolder;
afterEach(() => folder.remove());

const LOCK = 'dwellbook.lock.yaml';

/** Texts in memory, which a test may look at and change. */
function inMemory(at = '/nowhere'): KeptTexts & { readonly texts: Map<string, string> } {
  const texts = new Map<string, string>();
  return { folder: at, texts, get: key => texts.get(key) ?? null, put: (key, text) => void texts.set(key, text) };
}

async function run(kept: KeptTexts, ...argv: string[]) {
  const { status, out } = await folder.run(argv, '.', undefined, { kept: () => kept });
  return { status, codes: [...out.matchAll(/\[((?:frozen|lock)-\w+)\]/g)].map(match => match[1]) };
}

/** What is kept says another volume than the recipe has. */
function forge(kept: ReturnType<typeof inMemory>): void {
  for (const [key, text] of kept.texts) {
    const results = JSON.parse(text) as { key: string; value: unknown }[];
    for (const one of results) if (one.key === 'shot.volume_uL') one.value = 99;
    kept.texts.set(key, JSON.stringify(results));
  }
}

function frozenFolder(): void {
  folder = testFolder({ 'a.yaml': WHOLE, '.git/HEAD': '' });
}

describe('results kept from call to call', () => {
  it('are taken for a recipe that has not changed, and only there', async () => {
    frozenFolder();
    const kept = inMemory();
    await run(kept, 'freeze');
    expect(kept.texts.size).toBe(1);
    expect(await run(kept, 'check', '--frozen')).toEqual({ status: 0, codes: [] });
    // That they were taken can be seen by changing them.
    forge(kept);
    expect((await run(kept, 'check', '--frozen')).codes).toEqual(['frozen-moved']);
    expect((await run(kept, 'check', '--frozen', '--fresh')).codes).toEqual([]);
    // --fresh has put the true ones in their place.
    expect((await run(kept, 'check', '--frozen')).codes).toEqual([]);
    forge(kept);
    folder.write({ 'a.yaml': WHOLE.replace('accuracy: 2 kPa', 'accuracy: 2.0001 kPa') });
    expect((await run(kept, 'check', '--frozen')).codes).toEqual(['frozen-stale']);
  });

  it('depend on the unit of display too: it moves the choice of a round pressure', async () => {
    frozenFolder();
    const kept = inMemory();
    await run(kept, 'freeze');
    const display = WHOLE.replace('  rating: 100 psi\n', '  rating: 100 psi\n  display: {pressure: psi}\n');
    expect(display).not.toBe(WHOLE);
    folder.write({ 'a.yaml': display });
    await run(kept, 'check', '--frozen');
    expect(kept.texts.size).toBe(2);
  });

  it('a lock file that was edited is found out, whatever digest and numbers it claims', async () => {
    frozenFolder();
    const kept = inMemory();
    await run(kept, 'freeze');
    folder.write({ [LOCK]: folder.read(LOCK).replace(/(shot\.volume_uL: )[\d.]+/, '$19.9') });
    expect((await run(kept, 'check', '--frozen')).codes).toEqual(['frozen-moved']);
  });

  it('are not read where they stand in the repository of the recipe, nor written there', async () => {
    frozenFolder();
    const kept = inMemory(join(folder.path, 'cache'));
    await run(kept, 'freeze');
    expect(kept.texts.size).toBe(0);
    const outside = inMemory();
    await run(outside, 'check', '--frozen');
    forge(outside);
    const within = { ...outside, folder: join(folder.path, 'cache') };
    expect((await run(within, 'check', '--frozen')).codes).toEqual([]);
  });

  it('are computed again where what is kept is no list of results', async () => {
    frozenFolder();
    const kept = inMemory();
    await run(kept, 'freeze');
    const junk = ['', '[]]', '{}', '[{"key": 1}]', '[{"key": "a", "value": {}, "models": []}]'];
    for (const text of [...junk, '[{"key": "a", "value": 1, "models": ["constructor"]}]']) {
      for (const key of kept.texts.keys()) kept.texts.set(key, text);
      expect((await run(kept, 'check', '--frozen')).codes).toEqual([]);
    }
  });

  it('--fresh without --frozen is wrong usage', async () => {
    frozenFolder();
    expect((await run(inMemory(), 'check', '--fresh')).status).toBe(2);
  });
});

describe('the built program', () => {
  beforeAll(build, BUILD_TIME);

  it('keeps results in the folder of the environment, for itself alone', () => {
    frozenFolder();
    const cache = mkdtempSync(join(tmpdir(), 'dwellbook-cache-'));
    try {
      const call = (...args: string[]) =>
        spawnSync(process.execPath, [join(root, 'bin', 'dwellbook.js'), ...args], {
          ...{ cwd: folder.path, encoding: 'utf8' },
          env: { PATH: process.env['PATH'], XDG_CACHE_HOME: cache },
        });
      expect(call('freeze').status).toBe(0);
      const [program] = readdirSync(join(cache, 'dwellbook'));
      const texts = join(cache, 'dwellbook', program!);
      expect(readdirSync(texts)).toHaveLength(1);
      // A text with a sound sum is believed: whoever can write here is the user.
      const file = join(texts, readdirSync(texts)[0]!);
      const kept = keptTexts(cache, program!);
      const before = readFileSync(file, 'utf8');
      writeFileSync(file, `${before}x`);
      expect(call('check', '--frozen').status).toBe(0);
      expect(readFileSync(file, 'utf8')).toBe(before);
      expect(kept.folder).toBe(texts);
    } finally {
      rmSync(cache, { recursive: true, force: true });
    }
  });
});
