import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { build, root, shell } from './built-program.ts';

/** A repository as the examples expect it: recipes/ at its top, `npx --no-install dwellbook` is the program. */
const folder = mkdtempSync(join(tmpdir(), 'dwellbook-examples-'));
const NPX = 'npx() { [ "$1" = --no-install ] && [ "$2" = dwellbook ] || return 99; shift 2; dwellbook "$@"; }\n';

beforeAll(() => {
  build();
  mkdirSync(join(folder, '.git'));
  cpSync(join(root, 'recipes'), join(folder, 'recipes'), { recursive: true });
}, 300_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const example = (path: string) => readFileSync(join(root, 'examples', path), 'utf8');

function withBrokenRecipe<T>(work: () => T): T {
  const file = join(folder, 'recipes', 'broken.yaml');
  writeFileSync(file, 'recipe: 1\nneedel: {gauge: 22}\n');
  try {
    return work();
  } finally {
    rmSync(file);
  }
}

describe('the example of a hook', () => {
  const [hook] = parse(example('hooks/pre-commit-hooks.yaml'));

  it('looks at recipes and parts, and at nothing else', () => {
    const files = new RegExp(hook.files);
    expect(['recipes/a.yaml', 'recipes/parts/b.yml'].every(f => files.test(f))).toBe(true);
    expect(['README.md', 'other/a.yaml', 'recipes/a.csv'].some(f => files.test(f))).toBe(false);
  });

  it('passes for sound recipes and fails for a broken one', () => {
    expect(shell(`${NPX}${hook.entry}`, folder)).toMatchObject({ status: 0 });
    const { status, stdout } = withBrokenRecipe(() => shell(`${NPX}${hook.entry}`, folder));
    expect({ status, stdout }).toEqual({ status: 1, stdout: expect.stringContaining('[key-unknown]') });
  });

  it('without a framework runs the same command', () => {
    expect(example('hooks/pre-commit')).toContain(`exec ${hook.entry}\n`);
    const git = (names: string) => `git() { printf '%s\\n' ${names}; }\n`;
    const script = example('hooks/pre-commit').replace(/^exec /m, '');
    const run = (names: string) => withBrokenRecipe(() => shell(`${NPX}${git(names)}${script}`, folder).status);
    expect(run('README.md')).toBe(0);
    expect(run('README.md recipes/a.yaml')).toBe(1);
  });
});

describe('the example of a workflow', () => {
  const steps = parse(example('workflows/check-recipes.yaml')).jobs.recipes.steps as Record<string, unknown>[];
  const command = steps.map(step => step['run']).find(run => String(run).includes('dwellbook')) as string;

  it('writes the reports that its later steps take', () => {
    expect(shell(`${NPX}${command}`, folder)).toMatchObject({ status: 0 });
    const taken = steps
      .flatMap(step => Object.values((step['with'] ?? {}) as object))
      .filter(v => /^recipes\./.test(v));
    expect(taken.sort()).toEqual(['recipes.sarif', 'recipes.xml']);
    for (const file of taken) expect(existsSync(join(folder, file)), file).toBe(true);
  });

  it('annotates the line and fails for a broken recipe', () => {
    const { status, stdout } = withBrokenRecipe(() => shell(`${NPX}${command}`, folder));
    expect(status).toBe(1);
    expect(stdout).toMatch(/^::error file=recipes\/broken\.yaml,line=2,/m);
    const sarif = JSON.parse(readFileSync(join(folder, 'recipes.sarif'), 'utf8'));
    expect(sarif.runs[0].results[0].locations[0].physicalLocation.artifactLocation.uri).toBe('recipes/broken.yaml');
  });

  it('reports also when the check has failed', () => {
    for (const step of steps.slice(steps.findIndex(s => s['run'] === command) + 1)) expect(step['if']).toBe('always()');
  });
});
