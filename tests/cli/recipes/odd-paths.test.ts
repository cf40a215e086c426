import { symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { boundedGlob } from '../../../src/cli/terminal/bounded-glob.ts';
import { testFolder } from '../folder-io.ts';

const folder = testFolder({
  'a.yaml': 'recipe: 1\n',
  'part.yaml': 'face: 1.25 mm\n',
  'data.txt': 'no recipe\n',
  ...Object.fromEntries(Array.from({ length: 20 }, (_, i) => [`many/${i}.yaml`, 'recipe: 1\n'])),
  'node_modules/x/b.yaml': 'recipe: 1\n',
});
afterAll(() => folder.remove());

const COMMANDS = ['check', 'cavity', 'freeze', 'compare'];

describe('a path that is none', () => {
  it.each([
    '‹(…)',
    '(a',
    ')(',
    '[',
    '{a',
    '!(',
    '*(',
    '@(a|b)',
    '',
    ' ',
    '\\',
    '?',
    '[a-',
    '[[:alpha:]]x',
    '!a.yaml',
    '{1..100000}',
    `{${'a,b}{'.repeat(20)}c}`,
    '../../../../../../nowhere',
    'a.yaml/b.yaml',
    'nowhere/*.yaml',
    '**/nothing*',
    'x'.repeat(5_000),
    `${'x/'.repeat(3_000)}y`,
    '\ufeff',
    '\u0001\u001b[2J',
    '%s%n',
    '$(touch x)',
    '__proto__',
  ])('%j: status 2 or 3 and plain lines', async path => {
    for (const command of COMMANDS) {
      const { status, out, err } = await folder.run([
        command,
        '--',
        path,
        ...(command === 'compare' ? ['a.yaml'] : []),
      ]);
      expect({ command, out, err }).toEqual({
        command,
        out: '',
        err: expect.stringMatching(/^error: [^\n]+\n(\([^\n]+\n)?$/),
      });
      expect([2, 3]).toContain(status);
    }
  });

  it.each(['-x', '--nowhere', '-'.repeat(50)])('%j is no option either', async word => {
    const { status, err } = await folder.run(['check', word]);
    expect(status).toBe(2);
    expect(err).toMatch(/^error: unknown option/);
  });
});

describe('a search', () => {
  it('finds what matches, in order, without folders of packages', async () => {
    expect(await boundedGlob('*.yaml', folder.path)).toEqual(['a.yaml', 'part.yaml']);
    expect((await boundedGlob('**/*.yaml', folder.path))?.length).toBe(22);
  });

  it('ends where there is more than it may meet', async () => {
    expect(await boundedGlob('**/*.yaml', folder.path, { entries: 100 })).not.toBeNull();
    expect(await boundedGlob('**/*.yaml', folder.path, { entries: 10 })).toBeNull();
    expect(await boundedGlob('**/nothing.yaml', folder.path, { entries: 10 })).toBeNull();
  });

  it('ends where links lead in circles', async () => {
    const round = testFolder({ 'a/a.yaml': 'recipe: 1\n', 'b/b.yaml': 'recipe: 1\n' });
    symlinkSync('../b', join(round.path, 'a', 'b'));
    symlinkSync('../a', join(round.path, 'b', 'a'));
    symlinkSync('..', join(round.path, 'a', 'up'));
    const found = await boundedGlob('**/*.yaml', round.path);
    expect(found).toEqual(expect.arrayContaining(['a/a.yaml', 'b/b.yaml']));
    expect(await boundedGlob('**/*.yaml', round.path, { entries: 4 })).toBeNull();
    round.remove();
  });

  it('ends where links lead to each other by more ways than a search may keep', async () => {
    const names = Array.from({ length: 5 }, (_, i) => `f${i}`);
    const maze = testFolder(Object.fromEntries(names.map(name => [`${name}/a.yaml`, 'recipe: 1\n'])));
    for (const from of names) {
      for (const to of names) if (to !== from) symlinkSync(`../${to}`, join(maze.path, from, to));
    }
    // Each of them by 1 + 4 + 4 · 3 + 4 · 3 · 2 + 4! ways: 320 of all lead over a link.
    expect(await boundedGlob('**/*.yaml', maze.path, { links: 300 })).toBeNull();
    expect(await boundedGlob('**/*.yaml', maze.path)).not.toBeNull();
    maze.remove();
  });

  it('finds names in capitals', async () => {
    const capitals = testFolder({ 'a/UP.YAML': 'recipe: 1\n', 'B.yml': 'recipe: 1\n' });
    const { status, out } = await capitals.run(['check', '.', '--json']);
    expect(status).toBe(0);
    expect(JSON.parse(out).map(({ recipe }: { recipe: string }) => recipe)).toEqual(['B.yml', 'a/UP.YAML']);
    capitals.remove();
  });

  it('of a whole disk is wrong usage, and says what would do', async () => {
    const { findRecipes } = await import('../../../src/cli/recipes/find-recipes.ts');
    const { fakeIo } = await import('../fake-io.ts');
    const io = { ...fakeIo({ 'a.yaml': 'recipe: 1\n' }), glob: async () => null };
    await expect(findRecipes(['.'], io)).rejects.toThrow(
      /^\.: more files and folders than a search may meet; name the folder/,
    );
  });
});
