import { spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { transformSync } from 'esbuild';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { BUILD_TIME, build, root } from './cli/built-program.ts';

const examples = join(root, 'examples');
const scripts = readdirSync(examples)
  .filter(name => /\.(?:ts|mjs|js|sh)$/.test(name))
  .sort();
/** A user's repository: the recipes, the examples, the package installed. */
const repository = mkdtempSync(join(tmpdir(), 'dwellbook-examples-'));

beforeAll(() => {
  build();
  cpSync(join(root, 'recipes'), join(repository, 'recipes'), { recursive: true });
  cpSync(examples, join(repository, 'examples'), { recursive: true });
  mkdirSync(join(repository, 'node_modules', '.bin'), { recursive: true });
  mkdirSync(join(repository, '.git')); // what makes it a root
  symlinkSync(root, join(repository, 'node_modules', 'dwellbook'));
  symlinkSync(join(root, 'bin', 'dwellbook.js'), join(repository, 'node_modules', '.bin', 'dwellbook'));
}, BUILD_TIME);
afterAll(() => rmSync(repository, { recursive: true, force: true }));

/** Runs a script of examples/ as its user would, from the root of the repository. */
function run(name: string, ...args: string[]): string {
  const script = join(repository, 'examples', name);
  let [program, file] = [process.execPath, script];
  if (name.endsWith('.ts')) {
    file = script.replace(/\.ts$/, '.out.mjs');
    writeFileSync(file, transformSync(readFileSync(script, 'utf8'), { loader: 'ts', format: 'esm' }).code);
  } else if (name.endsWith('.sh')) program = 'bash';
  const { status, stdout, stderr } = spawnSync(program, [file, ...args], {
    cwd: repository,
    encoding: 'utf8',
    env: { PATH: `${join(repository, 'node_modules', '.bin')}:${process.env['PATH']}` },
  });
  expect({ status, stderr }).toMatchObject({ status: 0 });
  return stdout;
}

describe('the examples', () => {
  it('are all in the index', () => {
    const index = readFileSync(join(examples, 'README.md'), 'utf8');
    const entries = readdirSync(examples).filter(name => name !== 'README.md');
    expect(entries.filter(name => !index.includes(`](${name}`))).toEqual([]);
  });

  it('hold a CI workflow', () => {
    expect(existsSync(join(examples, 'ci', 'check-recipes.yaml'))).toBe(true);
  });

  it.each(scripts)('%s runs and says something', name => {
    expect(run(name)).not.toBe('');
  });

  it('room-and-lot: the dwell goes with the viscosity of lot and room', () => {
    const [, ...lines] = run('room-and-lot.ts').trim().split('\n');
    const rows = lines.map(line => line.split(',').map(Number));
    const at = (room: number, lot: number) =>
      rows.find(([value]) => value === room)![[0.85, 1, 1.15].indexOf(lot) + 1]!;
    // By hand: the shot goes with dwell over viscosity, so the dwell goes with the lot factor; and from 23 °C to 18 °C
    // 85 kJ/mol make a viscosity of exp(85e3/8.314·(1/291.15 − 1/296.15)) = 1.809 times as much at mixing, while the
    // thickening to 12 min, 2^(12/60·0.8492) = 1.125 at 23 °C, is 2^(12/60·0.5588) = 1.081 at 18 °C.
    // Steps of 10 ms on about 0.6 s: 2 % on a ratio of two.
    expect(at(23, 1.15) / at(23, 0.85)).toBeGreaterThan((1.15 / 0.85) * 0.98);
    expect(at(23, 1.15) / at(23, 0.85)).toBeLessThan((1.15 / 0.85) * 1.02);
    const colder = (1.809 * 1.081) / 1.125;
    expect(at(18, 1) / at(23, 1)).toBeGreaterThan(colder * 0.98);
    expect(at(18, 1) / at(23, 1)).toBeLessThan(colder * 1.02);
  });

  it('gauge-sheets: a sheet for every recipe, the same bytes every time', () => {
    const recipes = readdirSync(join(repository, 'recipes')).filter(name => name.endsWith('.yaml'));
    run('gauge-sheets.mjs', 'recipes', 'first');
    // Once more for one recipe is enough to see a clock or chance in the bytes.
    mkdirSync(join(repository, 'one'));
    cpSync(join(repository, 'recipes', 'tide-gauge-pigtail.yaml'), join(repository, 'one', 'tide-gauge-pigtail.yaml'));
    run('gauge-sheets.mjs', 'one', 'second');
    const sheets = readdirSync(join(repository, 'first'));
    expect(sheets.sort()).toEqual(recipes.map(name => name.replace('.yaml', '.pdf')).sort());
    for (const sheet of sheets) {
      const bytes = readFileSync(join(repository, 'first', sheet));
      expect(bytes.subarray(0, 5).toString()).toBe('%PDF-');
      if (sheet !== 'tide-gauge-pigtail.pdf') continue;
      expect(bytes.equals(readFileSync(join(repository, 'second', sheet)))).toBe(true);
    }
  });
});
