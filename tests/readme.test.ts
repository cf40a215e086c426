import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { COMMANDS } from '../src/cli/command-list.ts';
import { runProgram } from '../src/cli/program.ts';
import { nodeFileSystem } from '../src/files/node-file-system.ts';
import { parseRecipe } from '../src/recipe/format/load.ts';
import { CAUTIONS } from '../src/report/words/cautions.ts';
import { fakeIo } from './cli/fake-io.ts';
import { expectLines, shellBlocks } from './helpers/shell-blocks.ts';

const root = join(import.meta.dirname, '..');
const page = (path: string) => readFileSync(join(root, path), 'utf8');
const readme = page('README.md');

/** The files that the pages work with. */
const files = Object.fromEntries(
  ['recipes', 'examples/floor', 'tests/fixtures/pictures'].flatMap(folder =>
    readdirSync(join(root, folder), { recursive: true, encoding: 'utf8' })
      .filter(name => /\.(?:yaml|csv|png)$/.test(name))
      .map(name => [join(folder, name), readFileSync(join(root, folder, name))] as const),
  ),
);

/** Runs a command as on a desk and returns what a terminal would show. */
async function run(argv: readonly string[]): Promise<{ out: string; err: string; status: number }> {
  const io = fakeIo(files);
  const status = await runProgram(argv, io);
  return { out: io.out(), err: io.err(), status };
}

function section(title: string, text: string = readme): string {
  const found = text.split(/^(?=## )/m).find(part => part.startsWith(`## ${title}\n`));
  if (found === undefined) throw new Error(`there is no section "${title}"`);
  return found;
}

/** Rows of the tables in a text, as cells. */
function rows(text: string): string[][] {
  return text
    .split('\n')
    .filter(line => line.startsWith('| ') || line.startsWith('|\u0020'))
    .map(line =>
      line
        .slice(1, -1)
        .split(/(?<!\\)\|/)
        .map(cell => cell.trim()),
    );
}

const codeOf = (cell: string): string[] => [...cell.matchAll(/`([^`]+)`/g)].map(([, code = '']) => code);

describe('README.md', () => {
  it('gives the two commands exactly, and package.json has them', () => {
    expect(readme).toContain('\n    npm ci && npm run demo\n');
    expect(readme).toContain('\n    npm ci && npm test\n');
    const { scripts } = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
    expect(Object.keys(scripts)).toEqual(expect.arrayContaining(['demo', 'test']));
  });

  it('is read in one sitting', () => {
    expect(readme.split('\n').length).toBeLessThanOrEqual(250);
  });

  it('says the cautions before anything is run', () => {
    expect(readme.indexOf('## Cautions')).toBeLessThan(readme.indexOf('```'));
    const listed = section('Cautions').replace(/\s+/g, ' ');
    for (const caution of CAUTIONS) expect(listed).toContain(caution);
  });

  it('has a row for every command', () => {
    const listed = rows(section('Commands')).flatMap(([cell = '']) => codeOf(cell).slice(0, 1));
    const named = listed.map(text => text.split(' ')[0]);
    expect(COMMANDS.map(({ name }) => name).filter(name => !named.includes(name))).toEqual([]);
  });
});

describe('the tour of the demo recipe', () => {
  const blocks = shellBlocks(section('A tour of the demo recipe', page('recipes/README.md')));

  it('is found', () => {
    expect(blocks.length).toBeGreaterThanOrEqual(7);
  });

  it.each(blocks)('unchanged: $command prints what the text shows', async ({ command, lines }) => {
    const { out, err } = await run(command.replace(/^npx dwellbook /, '').split(' '));
    expectLines(`${err}${out}`, lines);
  });
});

describe('the models of the recipe format', () => {
  const format = page('recipes/FORMAT.md');

  it.each(modelRows(format))('$key: $model with the parameters shown is a sound recipe', async ({ key, yaml }) => {
    const blocks = key.split('.');
    const text = `recipe: 1\n${blocks[0]}: {${blocks[1]}: {${yaml}}}\n`;
    expect((await parseRecipe(text, 'row.yaml', nodeFileSystem)).findings).toEqual([]);
  });
});

describe('the keys of the JSON', () => {
  const floor = 'examples/floor';
  const demo = 'recipes/tide-gauge-pigtail.yaml';
  const RUNS: Record<string, string[]> = {
    check: ['check', demo],
    cavity: ['cavity', demo],
    shot: ['shot', demo],
    setpoint: ['setpoint', demo],
    gauge: ['gauge', demo, '-o', 'sheet.pdf'],
    scan: ['scan', 'tests/fixtures/pictures/gauge.png', '--dpi', '110'],
    'scan --dots': ['scan', 'tests/fixtures/pictures/dots.png', '--dots'],
    ramp: ['ramp', demo],
    mix: ['mix', 'recipes/hydrophone-pigtail.yaml'],
    insert: ['insert', demo],
    oven: ['oven', 'recipes/hydrophone-pigtail.yaml'],
    spread: ['spread', demo, '--samples', '1000'],
    rehearse: ['rehearse', demo, '--samples', '400'],
    family: ['family', demo, 'recipes/current-meter-pigtail.yaml'],
    batch: ['batch', demo, '--connectors', '480'],
    'batch --changeover': [
      ...['batch', demo, 'recipes/current-meter-pigtail.yaml', '--connectors', '20,12', '--changeover', '5 min'],
    ],
    card: ['card', demo],
    trials: ['trials', `${floor}/pigtail.yaml`],
    fit: ['fit', `${floor}/pigtail.yaml`, `${floor}/trial-runs.csv`],
    'fit --flow-curve': ['fit', `${floor}/pigtail.yaml`, '--flow-curve', `${floor}/flow-curve.csv`],
    release: ['release', `${floor}/pigtail.yaml`, '--masses', '9.0, 9.1, 9.1 mg', '--shots', '5', '--age', '13 min'],
    follow: ['follow', `${floor}/checks.csv`, `${floor}/pigtail.yaml`],
    trend: ['trend', `${floor}/checks.csv`],
    'gauge-rr': [
      ...['gauge-rr', `${floor}/gauge-study.csv`],
      ...['--part', 'dot', '--operator', 'reader', '--value', 'diameter'],
    ],
    qualify: [
      ...['qualify', `${floor}/pigtail.yaml`, '--trials', `${floor}/trial-runs.csv`, '--samples', '10'],
      ...['--gauge-study', `${floor}/gauge-study.csv`, '--part', 'dot', '--operator', 'reader', '--value', 'diameter'],
    ],
    recall: ['recall', '--lot', 'L-0412', `${floor}/checks.csv`],
    compare: ['compare', demo, 'recipes/hydrophone-pigtail.yaml'],
    freeze: ['freeze', demo],
    sweep: ['sweep', demo, '--grid', 'settings.dwell=0.3 s,0.5 s', '--take', 'shot.volume_uL'],
    new: ['new', 'fresh.yaml'],
    needles: ['needles', '22'],
  };
  const listed = rows(page('src/report/README.md')).filter(([cell = '']) => cell.startsWith('`'));

  it('are listed for these commands', () => {
    expect(listed.map(([cell = '']) => codeOf(cell)[0])).toEqual(Object.keys(RUNS));
  });

  it.each(listed)('%s', async (command, keys) => {
    const { out, err } = await run([...RUNS[codeOf(command)[0]!]!, '--json']);
    expect(err).not.toMatch(/^error: /m);
    const { result } = JSON.parse(out);
    expect(topKeys(codeOf(keys)[0]!)).toEqual(Object.keys(result));
    for (const [, key = '', open = '', inner = ''] of keys.matchAll(/(\w+)(\[\{|\{)([^}]*)\}/g)) {
      const value = open === '{' ? result[key] : result[key][0];
      expect([key, ...inner.split(', ')]).toEqual([key, ...Object.keys(value)]);
    }
  });
});

/** `a, b{c, d}, e[{f}]` → a, b, e. */
function topKeys(text: string): string[] {
  return text.replace(/\[?\{[^}]*\}\]?/g, '').split(', ');
}

interface ModelRow {
  key: string;
  model: string;
  /** Its parameters as the row shows them. */
  yaml: string;
}

/** The table of models; a row without a key goes on with the one above, a row with two models is two. */
function modelRows(text: string): ModelRow[] {
  let key = '';
  const table = text.slice(text.indexOf('\n## Models\n'));
  return rows(table)
    .filter(([, model = '']) => model.startsWith('`'))
    .flatMap(([first = '', models = '', parameters = '']) => {
      key = codeOf(first)[0] ?? key;
      const fields = codeOf(parameters).filter(code => /^\w+:/.test(code));
      return codeOf(models).map(model => ({ key, model, yaml: [`model: ${model}`, ...fields].join(', ') }));
    });
}

it('the folders that README.md leads to are there', () => {
  for (const folder of ['recipes', 'examples']) expect(existsSync(join(root, folder, 'README.md'))).toBe(true);
});
