import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'yaml';
import { medianTimes, node, program, rateRow, root } from './measure.mjs';

export const title = 'Checking 10,000 recipes';

const COUNT = 10_000;

export async function rows() {
  const folder = generated();
  try {
    const [ours, floor] = await medianTimes(
      [node([program, 'check', folder]), node(['--input-type=module', '-e', yamlAlone(folder)])],
      3,
    );
    const rate = ms => (COUNT * 1000) / ms;
    return [rateRow('dwellbook check <folder>', rate(ours), rate(floor), 'reading and yaml alone', 'recipes/s')];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** Ten thousand recipes that differ in their numbers, in folders of a hundred. */
function generated() {
  const source = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
  if (parse(source).recipe !== 1) throw new Error('the demo recipe is no recipe');
  const folder = mkdtempSync(join(tmpdir(), 'dwellbook-bench-'));
  for (let i = 0; i < COUNT; i += 1) {
    const sub = join(folder, String(Math.floor(i / 100)));
    if (i % 100 === 0) mkdirSync(sub);
    const text = source
      .replace('name: Tide-gauge pigtail', `name: Pigtail ${i}`)
      .replace('2.4 Pa.s', `${(2.3 + (i % 1000) / 5000).toFixed(4)} Pa.s`)
      .replace('1.15 g/mL', `${(1.1 + (i % 777) / 7777).toFixed(4)} g/mL`)
      .replace('takt: 40 s', `takt: ${30 + (i % 60)} s`);
    writeFileSync(join(sub, `${i}.yaml`), text);
  }
  if (readdirSync(folder).length !== COUNT / 100) throw new Error('not all recipes were written');
  return folder;
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
