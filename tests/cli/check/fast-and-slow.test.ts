import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { checkFile } from '../../../src/cli/check/check-file.ts';
import { withFile } from '../../../src/cli/recipes/find-recipes.ts';
import { nodeFileSystem } from '../../../src/files/node-file-system.ts';
import { loadRecipe } from '../../../src/recipe/format/load.ts';
import { LoadCache } from '../../../src/recipe/parts/load-cache.ts';
import { quickYaml } from '../../../src/recipe/yaml/quick-yaml.ts';
import { loadEngine } from '../../../src/units/engine.ts';
import { CORPORA } from '../../helpers/corpora.mjs';
import { repetitions } from '../../helpers/repetitions.ts';
import { FIXTURES } from '../../recipe/fixture-files.ts';

/*
 * A file is read and judged on one of two ways: block by block, with what is known of blocks that read the same in files
 * before, or as a whole, with the full parser. What comes out must be the same to the last byte.
 */

/** As on the way of a folder: one cache for all that this file checks. */
const cache = new LoadCache();

/** The same text with a mark of its end, at which the quick way declines; every place in it stays. */
const declined = (text: string) => `${text}...\n`;

async function outcome({ file, text }: Source, before: LoadCache | undefined) {
  const files = withFile(nodeFileSystem, file, Buffer.from(text));
  const options = { root: ROOT, ...(before === undefined ? {} : { cache: before }) };
  const loaded = await loadRecipe(file, files, options);
  const { recipe, findings: diagnostics, files: read, data } = loaded;
  const checked = await checkFile(file, files, options);
  const digest = recipe === null ? null : loaded.digest;
  const all = JSON.stringify({ recipe, diagnostics, read, data, digest, checked }, null, 1);
  // With anchors in the text a source is an offset, which the remark moves.
  return all.replace(/("source": ")\d+/g, '$1');
}

interface Source {
  readonly file: string;
  readonly text: string;
}

/** True when a sound recipe came out on the quick way; a text that goes the slow way anyhow is not compared. */
async function agrees({ file, text }: Source): Promise<boolean> {
  // without a line break at its end the mark would give it one
  if (!text.endsWith('\n') || quickYaml(text) === null) return false;
  const slow = declined(text);
  expect(quickYaml(slow)).toBe(null);
  const expected = await outcome({ file, text: slow }, undefined);
  expect(await outcome({ file, text }, cache), file).toBe(expected);
  expect(await outcome({ file, text }, cache), file).toBe(expected); // and when all of its blocks are known
  return JSON.parse(expected).recipe !== null && quickYaml(text)?.blocks !== null;
}

const ROOT = join(FIXTURES, '..', '..');
const SOURCES: Source[] = ['recipes', 'examples', join('tests', 'fixtures')]
  .flatMap(folder =>
    readdirSync(join(ROOT, folder), { recursive: true, encoding: 'utf8' }).map(name => join(ROOT, folder, name)),
  )
  .filter(file => /\.ya?ml$/.test(file))
  .sort()
  .map(file => ({ file, text: readFileSync(file, 'utf8') }));
/** The same as a program would write them: JSON by block, and as a whole. */
const AS_JSON: Source[] = SOURCES.flatMap(({ file, text }) => {
  const data = quickYaml(text)?.data;
  if (data === undefined) return [];
  const blocks = Object.entries(data).map(([key, value]) => `"${key}": ${JSON.stringify(value, null, 2)}\n`);
  return [blocks.join(''), `${JSON.stringify(data, null, 2)}\n`].map(json => ({ file, text: json }));
});
const FAMILIES = Object.entries(CORPORA).flatMap(([family, text]) =>
  [0, 1, 2].map(i => ({
    family: `${family} ${i}`,
    file: join(ROOT, 'recipes', 'tide-gauge-pigtail.yaml'),
    text: text(i),
  })),
);

test('fixtures and demo recipes come out the same on both ways', async () => {
  await loadEngine(); // the slow way loads it when it is needed, and then says the same
  let taken = 0;
  for (const source of SOURCES) if (await agrees(source)) taken++;
  expect(taken).toBeGreaterThan(100);
});

test('what programs write comes out the same on both ways', async () => {
  let taken = 0;
  for (const source of AS_JSON) if (await agrees(source)) taken++;
  expect(taken).toBeGreaterThan(100);
});

test.each(FAMILIES)('$family comes out the same on both ways', async source => {
  expect(await agrees(source)).toBe(true);
});

const SWAPS = [
  ['1', '2'],
  ['5', '0'],
  ['mm', 'um'],
  ['mm', 'kPa'],
  ['Pa.s', 'mPa.s'],
  ['± ', ''],
  ['%', 'mm'],
  [': {', ': [{'],
  ['name', 'notes'],
  ['min', 'max'],
  ['reach', 'reech'],
  ['gauge', 'bore'],
  ['newtonian', 'power-law'],
  ['ideal', 'first-order'],
  ['\n', '\n\n'],
  ['\n  ', '\n'],
  ['\n', '\n# remark\n'],
  ['2', '= 1 + 1'],
  ['s', 'null'],
  ['": ', '":'],
  ['"', "'"],
  ['{', '{"name": 1, '],
  ['\n}', '}'],
  ['m"', 'm\\n"'],
  ['1', '&a 1'],
  [' ', '\t'],
] as const;

/** Exchanges one of the places where a scrap stands, or drops, doubles or moves a line. */
const damage = fc.record({
  swap: fc.constantFrom(...SWAPS),
  at: fc.nat(),
  lines: fc.option(fc.tuple(fc.nat(), fc.nat())),
});

function damaged(
  text: string,
  { swap: [from, to], at, lines }: { swap: readonly [string, string]; at: number; lines: [number, number] | null },
) {
  if (lines !== null) {
    const all = text.split('\n');
    const [line] = all.splice(1 + (lines[0] % (all.length - 1)), lines[1] % 2);
    all.splice(1 + (lines[1] % all.length), 0, line ?? all[1 + (lines[0] % (all.length - 1))] ?? '');
    return all.join('\n');
  }
  const pieces = text.split(from);
  if (pieces.length < 2) return text;
  const place = 1 + (at % (pieces.length - 1));
  return pieces.slice(0, place).join(from) + to + pieces.slice(place).join(from);
}

test('damaged recipes come out the same on both ways', async () => {
  let taken = 0;
  await fc.assert(
    fc.asyncProperty(
      fc.constantFrom(...SOURCES, ...AS_JSON, ...FAMILIES),
      fc.array(damage, { minLength: 1, maxLength: 3 }),
      async (one, all) => {
        if (await agrees({ file: one.file, text: all.reduce(damaged, one.text) })) taken++;
      },
    ),
    { seed: 5, numRuns: repetitions(300, 1_500) },
  );
  expect(taken).toBeGreaterThan(repetitions(15, 100));
});
