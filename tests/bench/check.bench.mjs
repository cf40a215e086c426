import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { CORPORA } from '../helpers/corpora.mjs';
import { processorTimes, program, rateRow, root, usage } from './measure.mjs';

/** Recipes of each family, and of the one that memory is read for; BENCH_COUNT takes others. */
const COUNT = Number(process.env.BENCH_COUNT ?? 1_000);
const MANY = 20 * COUNT;
const ROUNDS = 3;

export const title = `Checking folders of ${COUNT} recipes, all rules on; time on the processors, of all threads`;

export async function rows() {
  const folder = mkdtempSync(join(tmpdir(), 'dwellbook-bench-'));
  try {
    const schema = join(folder, 'schema.json');
    writeFileSync(schema, execFileSync(process.execPath, [program, 'schema'], { encoding: 'utf8' }));
    const found = [];
    for (const [family, text] of Object.entries(CORPORA)) found.push(...rates(family, written(folder, text), schema));
    return [...found, ...parts(folder), ...memory(folder)];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function rates(family, folder, schema) {
  const validator = join(root, 'node_modules', 'ajv-cli', 'dist', 'index.js');
  const [ours, theirs, yaml] = processorTimes(
    [
      [program, 'check', folder],
      [validator, 'validate', '--strict=false', '-s', schema, '-d', `${folder}/**/*.yaml`],
      ['--input-type=module', '-e', yamlAlone(folder)],
    ],
    ROUNDS,
  );
  const rate = ms => (COUNT * 1000) / ms;
  return [
    rateRow(family, rate(ours), rate(theirs), 'a schema-only validator', 'recipes/s', { atLeast: 1.5 }),
    rateRow('', rate(ours), rate(yaml), 'reading and yaml alone', 'recipes/s'),
  ];
}

/** Each recipe with its station in a file that all of them start from. */
function parts(folder) {
  const family = Object.keys(CORPORA)[0];
  const texts = written(folder, (i, top) => withPart(CORPORA[family](i), top));
  const alone = written(folder, CORPORA[family]);
  const [ours, whole] = processorTimes(
    [
      [program, 'check', texts],
      [program, 'check', alone],
    ],
    ROUNDS,
  );
  const rate = ms => (COUNT * 1000) / ms;
  return [rateRow('each with a part', rate(ours), rate(whole), 'the same in one file', 'recipes/s')];
}

function memory(folder) {
  const rows = [];
  const row = (figure, ours, floor, floorName, wanted) => ({
    ...{ figure, ours, floor, floorName, unit: 'MiB', ratio: ours / floor, wanted },
  });
  for (const family of [Object.keys(CORPORA)[0], 'block maps, every block different, a resin that ages']) {
    const text = CORPORA[family];
    const [half, all] = [MANY / 2, MANY].map(count => {
      const top = written(folder, text, count);
      const peak = usage([program, 'check', top]).memory;
      rmSync(top, { recursive: true });
      return peak;
    });
    rows.push(row(`memory, ${MANY} of: ${family}`, all, 300, '300 MiB', { atMost: 1 }));
    rows.push(row('', all, half, 'half as many', { atMost: 1.15 }));
  }
  return rows;
}

/** A folder of its own with these recipes, a hundred in each folder below. */
function written(folder, text, count = COUNT) {
  const top = mkdtempSync(join(folder, 'recipes-'));
  mkdirSync(join(top, '.git'), { recursive: true });
  for (let i = 0; i < count; i += 1) {
    const sub = join(top, String(Math.floor(i / 100)));
    if (i % 100 === 0) mkdirSync(sub);
    writeFileSync(join(sub, `${i}.yaml`), text(i, top));
  }
  return top;
}

function withPart(text, top) {
  const station = /^station:\n((?: {2}.*\n)+)/m.exec(text);
  if (station === null) throw new Error('the demo recipe has no station');
  writeFileSync(join(top, 'station.yaml'), station[1].replace(/^ {2}/gm, ''));
  return text.replace(station[0], 'station: {from: ../station.yaml}\n');
}

function yamlAlone(folder) {
  return `
    import { readdirSync, readFileSync } from 'node:fs';
    import { parse } from 'yaml';
    const folder = ${JSON.stringify(folder)};
    for (const file of readdirSync(folder, { recursive: true })) {
      if (file.endsWith('.yaml')) parse(readFileSync(folder + '/' + file, 'utf8'));
    }`;
}
