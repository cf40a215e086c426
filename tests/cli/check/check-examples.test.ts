import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { build, root, shell } from '../built-program.ts';

/** A repository as the examples expect it: recipes/ at its top, `npx --no-install dwellbook` is the program. */
const folder = mkdtempSync(join(tmpdir(), 'dwellbook-examples-'));
const KEPT = ['tide-gauge-pigtail.yaml', 'cold-store-pigtail.yaml', 'hydrophone-pigtail.yaml'];
const NPX = 'npx() { [ "$1" = --no-install ] && [ "$2" = dwellbook ] || return 99; shift 2; dwellbook "$@"; }\n';

beforeAll(() => {
  build();
  git('init', '-q', '-b', 'main');
  // Three of the demo recipes, each with another connector and resin: the commands are what is tried here.
  const kept = new RegExp(`${KEPT.join('|')}|/parts|recipes$`);
  cpSync(join(root, 'recipes'), join(folder, 'recipes'), { recursive: true, filter: path => kept.test(path) });
  // The workflow's lock file stands at the top of the repository; the one that ships beside the recipes is held below.
  expect(shell('dwellbook freeze recipes --lock dwellbook.lock.yaml', folder)).toMatchObject({ status: 0 });
  git('add', '-A');
  git('commit', '-q', '-m', 'first');
  git('update-ref', 'refs/remotes/origin/main', 'HEAD');
}, 300_000);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Nothing of the machine's own settings may decide a test. */
function git(...args: string[]): void {
  const who = ['-c', 'user.name=Test', '-c', 'user.email=test@example.org', '-c', 'commit.gpgsign=false'];
  execFileSync('git', [...who, ...args], { cwd: folder, stdio: 'ignore' });
}

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
  const [hook] = parse(example('ci/pre-commit-hooks.yaml'));

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
    expect(example('ci/pre-commit')).toContain(`exec ${hook.entry}\n`);
    const git = (names: string) => `git() { printf '%s\\n' ${names}; }\n`;
    const script = example('ci/pre-commit').replace(/^exec /m, '');
    const run = (names: string) => withBrokenRecipe(() => shell(`${NPX}${git(names)}${script}`, folder).status);
    expect(run('README.md')).toBe(0);
    expect(run('README.md recipes/a.yaml')).toBe(1);
  });
});

describe('the page on review and CI', () => {
  // One line each: a backslash at the end goes on.
  const lines = example('ci/README.md')
    .replaceAll(/\\\n\s*/g, '')
    .split('\n');
  const commands = lines.filter(line => line.startsWith('    npx dwellbook ')).map(line => line.trim());

  it('has commands of every kind', () => {
    const names = new Set(commands.map(line => line.split(/\s+/)[2]));
    expect(names).toEqual(new Set(['new', 'schema', 'compare', 'check', 'sweep', 'merge', 'rehearse']));
  });

  // A branch of a repository with what the page speaks of: recipes, a lock file, parts, a recipe in two forms.
  const work = mkdtempSync(join(tmpdir(), 'dwellbook-review-'));
  beforeAll(() => {
    const library = join(root, 'recipes/parts');
    cpSync(folder, work, { recursive: true });
    cpSync(join(library, 'connectors'), join(work, 'parts/connectors'), { recursive: true });
    cpSync(join(library, 'resins/amber-40.yaml'), join(work, 'parts/amber-40.yaml'));
  });
  afterAll(() => rmSync(work, { recursive: true, force: true }));

  it.each(commands)('%s', line => {
    const { status, stderr } = shell(line.replace(/^npx /, ''), work);
    expect({ status, stderr }).toEqual({ status: 0, stderr: expect.not.stringContaining('error') });
    if (!line.includes('dwellbook new ')) return;
    cpSync(join(work, 'slim.yaml'), join(work, 'slim-thin.yaml'));
    expect(shell('dwellbook freeze slim.yaml slim-thin.yaml', work)).toMatchObject({ status: 0 });
  });
});

it('the demo recipes give what their lock file says', () => {
  const held = shell('dwellbook check recipes --frozen --lock recipes/dwellbook.lock --max-warnings 0');
  expect(held.stdout).toMatch(/^\d+ recipes checked: nothing to report/);
  expect(held.status).toBe(0);
});

describe('the example of a workflow', () => {
  const steps = parse(example('ci/check-recipes.yaml')).jobs.recipes.steps as Record<string, unknown>[];
  const command = steps.map(step => step['run']).find(run => String(run).includes('dwellbook check')) as string;
  const compare = steps.map(step => step['run']).find(run => String(run).includes('dwellbook compare')) as string;

  it('writes the reports that its later steps take', () => {
    const { status, stdout } = shell(`${NPX}${command}`, folder);
    expect({ status, stdout }).toEqual({
      status: 0,
      stdout: expect.stringMatching(/^\d+ recipes checked: nothing to report\n$/),
    });
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
    for (const step of steps.slice(steps.findIndex(s => s['run'] === command) + 1))
      expect(step['if']).toMatch(/^always\(\)/);
  });

  it('holds results to the lock file, and shows what a change moves', () => {
    const part = join(folder, 'recipes/parts/resins/amber-40.yaml');
    writeFileSync(part, readFileSync(part, 'utf8').replace('2.4 Pa.s', '2.6 Pa.s'));
    git('checkout', '-q', '-b', 'thicker');
    git('commit', '-q', '-a', '-m', 'second');
    expect(shell(`${NPX}${command}`, folder).stdout).toMatch(/title=frozen-moved::/);
    const summary = `BASE=main; GITHUB_STEP_SUMMARY=${join(folder, 'summary.md')}\n`;
    expect(shell(`${NPX}${summary}${compare}`, folder)).toMatchObject({ status: 0 });
    const text = readFileSync(join(folder, 'summary.md'), 'utf8');
    expect(text).toMatch(/^## Recipes: \d+ changed, \d+ unchanged$/m);
    expect(text).toMatch(/^\| `resin\.rheology\.viscosity` \| `2\.4 Pa\.s.*` \| `2\.6 Pa\.s.*` \|$/m);
  });
});

describe('the example of a workflow on several machines', () => {
  const { share, together } = parse(example('ci/rehearse-in-shares.yaml')).jobs;
  const runs = (job: { steps: Record<string, unknown>[] }) =>
    job.steps.map(step => String(step['run'] ?? '')).filter(run => run.includes('dwellbook'));
  const shares: number[] = share.strategy.matrix.share;
  const MATRIX = /\$\{\{ matrix\.share \}\}/g;

  it('gives what one machine gives', () => {
    const there = mkdtempSync(join(tmpdir(), 'dwellbook-shares-'));
    try {
      cpSync(folder, there, { recursive: true });
      const own = (text: string) =>
        text
          .replace('100000', '60')
          .replace('"$RECIPE"', 'recipes/tide-gauge-pigtail.yaml')
          .replace('npx --no-install ', '');
      for (const i of shares) {
        for (const run of runs(share)) {
          expect(shell(own(run).replaceAll(MATRIX, String(i)), there).status).toBe(0);
        }
      }
      shell('mkdir shares && mv check-*.json rehearsal-*.json shares', there);
      const merged = runs(together).map(run => shell(own(run), there));
      expect(merged[0]!.status).toBe(0);
      const { status, stdout } = shell('dwellbook check recipes --format github', there);
      expect(merged[1]).toMatchObject({ status, stdout });
      const whole = shell('dwellbook rehearse recipes/tide-gauge-pigtail.yaml --samples 60 --json', there).stdout;
      expect(readFileSync(join(there, 'rehearsal.json'), 'utf8')).toBe(whole);
    } finally {
      rmSync(there, { recursive: true, force: true });
    }
  }, 60_000);
});
