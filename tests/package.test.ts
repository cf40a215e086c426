import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { VERSION } from '../src/version.ts';
import { BUILD_TIME, root } from './cli/built-program.ts';
import { installPackage, packageJson } from './helpers/installed-package.ts';
import { linksOf } from './helpers/pages.ts';

const folder = mkdtempSync(join(tmpdir(), 'dwellbook-package-'));
const installed = join(folder, 'node_modules', 'dwellbook');
let files: readonly string[] = [];

beforeAll(() => {
  ({ files } = installPackage(folder, folder));
  writeFileSync(join(folder, 'package.json'), '{"type": "module"}');
}, BUILD_TIME);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the package', () => {
  it('has the version that the program prints', () => {
    expect(VERSION).toBe(packageJson().version);
  });

  it('holds program, library, types, fonts with their licence, recipes and texts, and nothing to develop with', () => {
    expect(files).toEqual(
      expect.arrayContaining([
        'package.json',
        'README.md',
        'DEVELOPERS.md',
        'recipes/FORMAT.md',
        'examples/floor/README.md',
        'examples/ci/check-recipes.yaml',
        'src/rules/README.md',
        'src/physics/README.md',
        'bin/dwellbook.js',
        'bin/package.json',
        'dist/dwellbook.cjs',
        'dist/check.cache',
        'dist/help.cache',
        'dist/shot.cache',
        'dist/API.md',
        'dist/index.js',
        'dist/types/index.d.ts',
        'dist/fonts/Inter_400Regular.ttf',
        'dist/fonts/Inter_500Medium.ttf',
        'dist/fonts/Inter_600SemiBold.ttf',
        'dist/fonts/LICENSE_FONT',
        'dist/third-party-licences.txt',
        'recipes/tide-gauge-pigtail.yaml',
      ]),
    );
    expect(files.filter(file => file.endsWith('/yaml.cjs'))).toEqual([expect.stringMatching(/^dist\/parts-\w{12}\//)]);
    const tools = files.filter(file => /^(?:src|tests|\.build|\.ci)\/|\.map$|\.stamp$/.test(file));
    expect(tools.filter(file => !/^src\/\w+\/README\.md$/.test(file))).toEqual([]);
  });

  it('has every file that its pages lead to', () => {
    const pages = files.filter(file => file.endsWith('.md'));
    expect(pages.length).toBeGreaterThan(10);
    const missing = pages.flatMap(page =>
      linksOf(readFileSync(join(installed, page), 'utf8'))
        .map(({ path }) => join(installed, page, '..', path))
        .filter(path => !existsSync(path)),
    );
    expect(missing).toEqual([]);
  });

  it('names the licence of every package in the bundle', () => {
    const text = readFileSync(join(installed, 'dist', 'third-party-licences.txt'), 'utf8');
    for (const name of ['commander', 'yaml', 'zod', 'mathjs', 'cli-table3']) {
      expect(text).toMatch(
        new RegExp(
          `^${name} \\d+\\.\\d+\\.\\d+ \\(MIT|^${name} \\d+\\.\\d+\\.\\d+ \\(ISC|^${name} \\d+\\.\\d+\\.\\d+ \\(Apache`,
          'm',
        ),
      );
    }
  });

  it('runs from where it is installed', () => {
    const program = join(installed, 'bin', 'dwellbook.js');
    const recipe = join('node_modules', 'dwellbook', 'recipes', 'tide-gauge-pigtail.yaml');
    const run = (...args: string[]) =>
      execFileSync(process.execPath, [program, ...args], { cwd: folder, encoding: 'utf8' });
    expect(run('--version')).toBe(`${VERSION}\n`);
    expect(run('cavity', recipe)).toContain('Tide-gauge pigtail');
    run('gauge', recipe, '-o', 'sheet.pdf');
    expect(existsSync(join(folder, 'sheet.pdf'))).toBe(true);
  });

  it('runs the same when its compiled code is of another version of Node, of another build, cut short or missing', () => {
    const program = join(installed, 'bin', 'dwellbook.js');
    const recipe = join(installed, 'recipes', 'tide-gauge-pigtail.yaml');
    const text = join(installed, 'dist', 'dwellbook.cjs');
    const cache = join(installed, 'dist', 'check.cache');
    const check = () => execFileSync(process.execPath, [program, 'check', recipe], { encoding: 'utf8' });
    const before = check();
    const whole = readFileSync(cache);
    const changed = (from: number, to: number) => Buffer.from(whole).fill(0, from, to);
    const versions = changed(64, 80); // where Node keeps its version
    const builds = changed(0, 64);
    const half = whole.length / 2;
    for (const content of [versions, builds, changed(half, whole.length), whole.subarray(0, half), '', 'none']) {
      writeFileSync(cache, content);
      expect(check()).toBe(before);
    }
    // A program that was changed in place, to the same length, is not what was compiled.
    writeFileSync(cache, whole);
    expect(check()).toBe(before);
    const source = readFileSync(text, 'latin1');
    writeFileSync(text, source.replace('nothing to report', 'NOTHING TO REPORT'), 'latin1');
    const later = new Date(Date.now() + 10_000);
    utimesSync(text, later, later);
    expect(check()).toBe(before.replace('nothing to report', 'NOTHING TO REPORT'));
    rmSync(cache);
    writeFileSync(text, source, 'latin1');
    expect(check()).toBe(before);
  });

  it('is a library to import and to require alike', () => {
    const ask = 'cavity, loadRecipe }) => console.log(typeof cavity, typeof loadRecipe))';
    const run = (...args: string[]) => execFileSync(process.execPath, args, { cwd: folder, encoding: 'utf8' });
    expect(run('--input-type=module', '-e', `import('dwellbook').then(({ ${ask}`)).toBe('function function\n');
    expect(run('--input-type=commonjs', '-e', `Promise.resolve(require('dwellbook')).then(({ ${ask}`)).toBe(
      'function function\n',
    );
  });

  it('says what is wrong, and not its own code, where a program does not catch an error', () => {
    const script = "import { loadRecipe } from 'dwellbook'; await loadRecipe('nope.yaml');";
    const { status, stderr } = spawnSync(process.execPath, ['--input-type=module', '-e', script], {
      cwd: folder,
      encoding: 'utf8',
    });
    expect(status).not.toBe(0);
    expect(stderr).toContain('nope.yaml');
    expect(stderr.length).toBeLessThan(2000);
  });

  it('installs without scripts', () => {
    const lifecycle = ['preinstall', 'install', 'postinstall', 'prepare', 'dependencies'];
    expect(Object.keys(packageJson().scripts).filter(name => lifecycle.includes(name))).toEqual([]);
  });

  it('tells nothing of the folder it was built in', () => {
    const built = readdirSync(join(root, 'dist'), { recursive: true, withFileTypes: true }).filter(one => one.isFile());
    const telling = built.filter(one => readFileSync(join(one.parentPath, one.name), 'latin1').includes(root));
    expect(telling.map(one => one.name)).toEqual([]);
  });

  it('its types are accepted by a strict consumer with NodeNext resolution, library checks included', () => {
    writeFileSync(
      join(folder, 'consumer.ts'),
      `import { cavity, type CavityResult, loadRecipe, shot } from 'dwellbook';
const loaded = await loadRecipe('x.yaml', { set: ['name=y'] });
if (loaded.recipe !== null) {
  const held: CavityResult | null = cavity(loaded.recipe).result;
  const volume: number | undefined = shot(loaded.recipe, { pressure: 210e3, dwell: 0.5 }).result?.volume_uL;
  console.log(held?.gross_uL, volume);
}
// @ts-expect-error: a wrong name must not slip through as any
loaded.recipies;
`,
    );
    const config = {
      compilerOptions: { module: 'NodeNext', target: 'ES2023', strict: true, noEmit: true, types: ['node'] },
      files: ['consumer.ts'],
    };
    writeFileSync(join(folder, 'tsconfig.json'), JSON.stringify(config));
    const tsc = join(root, 'node_modules', '.bin', 'tsc');
    const { status, stdout } = spawnSync(tsc, ['-p', folder], { cwd: folder, encoding: 'utf8' });
    expect({ status, stdout }).toEqual({ status: 0, stdout: '' });
  });
});
