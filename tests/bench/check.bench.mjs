import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { loadavg, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'yaml';
import { medianTimes, node, peakMemory, program, rateRow, root } from './measure.mjs';

const COUNT = Number(process.env.BENCH_COUNT ?? 10_000);

export const title = `Checking ${COUNT} recipes, all rules on (load ${loadavg()[0].toFixed(1)} at the start)`;

export async function rows() {
  const folder = mkdtempSync(join(tmpdir(), 'dwellbook-bench-'));
  try {
    const sound = generated(folder, 'sound', COUNT, text => text);
    const warned = generated(folder, 'warned', COUNT / 10, text => replaced(text, 'fill: 0.5 mL', 'fill: 2.5 mL'));
    const parts = generated(folder, 'parts', COUNT / 10, withPart);
    return [...(await rates(folder, { sound, warned, parts })), ...memory(folder, sound)];
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

async function rates(folder, { sound, warned, parts }) {
  const schema = join(folder, 'schema.json');
  writeFileSync(schema, execFileSync(process.execPath, [program, 'schema'], { encoding: 'utf8' }));
  const ajv = join(root, 'node_modules', 'ajv-cli', 'dist', 'index.js');
  const floor = ['validate', '--strict=false', '-s', schema, '-d', `${sound}/**/*.yaml`];
  const [ours, validator, yaml, ofWarned, ofParts] = await medianTimes(
    [
      node([program, 'check', sound]),
      node([ajv, ...floor]),
      node(['--input-type=module', '-e', yamlAlone(sound)]),
      node([program, 'check', warned]),
      node([program, 'check', parts]),
    ],
    1,
    { warmUp: false },
  );
  const rate = (ms, count = COUNT) => (count * 1000) / ms;
  const row = (figure, ms, count, floorMs, name, wanted) =>
    rateRow(figure, rate(ms, count), rate(floorMs), name, 'recipes/s', wanted);
  return [
    row('dwellbook check <folder>', ours, COUNT, validator, 'a schema-only validator', { atLeast: 1 }),
    row('dwellbook check <folder>', ours, COUNT, yaml, 'reading and yaml alone'),
    row('a tenth as many, each with a warning', ofWarned, COUNT / 10, yaml, 'reading and yaml alone'),
    row('a tenth as many, each from one part', ofParts, COUNT / 10, yaml, 'reading and yaml alone'),
  ];
}

function memory(folder, sound) {
  const peak = peakMemory([program, 'check', sound]);
  const half = generated(folder, 'half', COUNT / 2, text => text);
  const peakOfHalf = peakMemory([program, 'check', half]);
  const bare = peakMemory(['-e', '0']);
  const row = (figure, ours, floor, floorName, wanted) => ({
    ...{ figure, ours, floor, floorName, unit: 'MiB', ratio: ours / floor, wanted },
  });
  return [
    row('memory at most', peak, 400, '400 MiB', { atMost: 1 }),
    row('memory at most', peak, peakOfHalf, 'half as many recipes', { atMost: 1.25 }),
    row('memory at most', peak, bare, 'node -e 0'),
  ];
}

/** Recipes that differ in their numbers and are sound, in folders of a hundred. */
function generated(folder, name, count, change) {
  const source = readFileSync(join(root, 'recipes', 'tide-gauge-pigtail.yaml'), 'utf8');
  if (parse(source).recipe !== 1) throw new Error('the demo recipe is no recipe');
  const top = join(folder, name);
  mkdirSync(join(top, '.git'), { recursive: true });
  for (let i = 0; i < count; i += 1) {
    const sub = join(top, String(Math.floor(i / 100)));
    if (i % 100 === 0) mkdirSync(sub);
    const viscosity = 2.2 + (i % 401) / 1000;
    const text = [
      ['name: Tide-gauge pigtail', `name: Pigtail ${i}`],
      ['2.4 Pa.s', `${viscosity.toFixed(3)} Pa.s`],
      ['1.15 g/mL', `${(1.1 + (i % 777) / 7777).toFixed(4)} g/mL`],
      ['diameter: 1.1 mm,', `diameter: ${(1.095 + (i % 97) / 10_000).toFixed(4)} mm,`],
      ['dwell: 0.52 s', `dwell: ${((0.52 * viscosity) / 2.4).toFixed(2)} s`],
    ].reduce((before, [from, to]) => replaced(before, from, to), source);
    writeFileSync(join(sub, `${i}.yaml`), change(text, top));
  }
  const folders = readdirSync(top).filter(name => /^\d+$/.test(name));
  if (folders.length !== Math.ceil(count / 100)) throw new Error('not all recipes were written');
  return top;
}

function replaced(text, from, to) {
  if (!text.includes(from)) throw new Error(`the demo recipe has no "${from}"`);
  return text.replace(from, to);
}

/** The station of the recipe in a file that all of them start from. */
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
