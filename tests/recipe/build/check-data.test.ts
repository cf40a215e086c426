import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import * as fc from 'fast-check';
import { expect, test } from 'vitest';
import { checkBlocks, checkData } from '../../../src/recipe/build/check-data.ts';
import { documentData } from '../../../src/recipe/yaml/document-data.ts';
import type { Plain, PlainMap } from '../../../src/recipe/yaml/plain-data.ts';
import { isPlainMap } from '../../../src/recipe/yaml/plain-data.ts';
import { parseYaml } from '../../../src/recipe/yaml/yaml-text.ts';
import { loadEngine } from '../../../src/units/engine.ts';
import { FIXTURES, fixtureNames } from '../fixture-files.ts';

const sourceOf = (path: string) => path;

/** True when the blocks alone make a recipe; fails when the data as a whole are judged otherwise. */
function agrees(data: Plain): boolean {
  const { recipe, issues } = checkData(data, sourceOf);
  const quick = isPlainMap(data) ? (checkBlocks(data, [], new WeakMap(), sourceOf)?.recipe ?? null) : null;
  expect(quick !== null, JSON.stringify(issues)).toBe(issues.length === 0);
  // As text, so that the order of keys counts.
  expect(JSON.stringify(quick)).toBe(JSON.stringify(recipe));
  return quick !== null;
}

const dataOf = (folder: string, name: string) =>
  documentData(parseYaml(readFileSync(join(FIXTURES, folder, name), 'utf8')).document).data;
const SOUND = fixtureNames('ok').map(name => dataOf('ok', name));
const ALL = [...SOUND, ...fixtureNames('err').map(name => dataOf('err', name))];

test('blocks that are read one by one make the recipe that the whole makes, and no other', async () => {
  await loadEngine();
  expect(ALL.filter(agrees).length).toBeGreaterThan(3);
});

/** Values that stand at odd places. */
const VALUES: Plain[] = [
  ...[
    null,
    true,
    0,
    -1,
    1,
    2.5,
    Number.POSITIVE_INFINITY,
    Number.NaN,
    '',
    ' ',
    '1',
    '1 mm',
    '-1 mm',
    '0 mm',
    '1 kPa',
    '1e-300 m',
    '= 2 * 1 mm',
  ],
  ...[
    '= 1/0 mm',
    '2 ± 1 mm',
    '2 ± 3 mm',
    'newtonian',
    'table',
    'thin',
    'by_sight',
    '25 degC',
    '-300 degC',
    '50 %',
    '22s',
  ],
  ...[
    [],
    ['1 mm'],
    ['1 mm', '2 mm'],
    [['0 min', 1]],
    {},
    { value: '1 mm' },
    { value: '1 mm', tolerance: '2 %' },
    { model: 'none' },
  ],
];
const KEYS = [
  'model',
  'value',
  'tolerance',
  'per',
  'coverage',
  'name',
  'notes',
  'from',
  'profile',
  'aim',
  'x',
  'constructor',
  'toString',
];

/** The data with one value replaced, removed, or added at a place that the numbers choose. */
function damaged(data: Plain, way: readonly number[], key: string, value: Plain): Plain {
  const [step = 0, ...rest] = way;
  if (Array.isArray(data)) {
    if (data.length === 0) return value;
    const at = step % data.length;
    return data.map((item, i) => (i === at ? damaged(item, rest, key, value) : item));
  }
  if (typeof data !== 'object' || data === null) return value;
  const keys = Object.keys(data);
  const at = step % (keys.length + 2);
  const copy: PlainMap = Object.assign(Object.create(null), data);
  if (at === keys.length) copy[key] = value;
  else if (at > keys.length) delete copy[keys[rest[0] ?? 0] ?? ''];
  else copy[keys[at]!] = damaged(data[keys[at]!]!, rest, key, value);
  return copy;
}

test('blocks of damaged recipes that are read one by one are judged as the whole is', async () => {
  await loadEngine();
  const damage = fc.tuple(
    fc.constantFrom(...SOUND),
    fc.array(fc.nat({ max: 40 }), { minLength: 1, maxLength: 6 }),
    fc.constantFrom(...KEYS),
    fc.constantFrom(...VALUES),
  );
  let taken = 0;
  fc.assert(
    fc.property(damage, ([data, way, key, value]) => {
      if (agrees(damaged(data, way, key, value))) taken++;
    }),
    { seed: 31, numRuns: 5_000 },
  );
  expect(taken).toBeGreaterThan(100);
  expect(taken).toBeLessThan(4_900);
});
