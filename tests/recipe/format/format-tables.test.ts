import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { recipeKeys } from '../../../src/recipe/format/recipe-keys.ts';
import type { About } from '../../../src/recipe/schema/field.ts';
import { recipe } from '../../../src/recipe/schema/recipe-schema.ts';
import { memoryFiles } from '../memory-files.ts';
import { formatTables, isModel, keysBelow } from './format-tables.ts';

const page = join(import.meta.dirname, '..', '..', '..', 'recipes', 'FORMAT.md');

test('the tables of recipes/FORMAT.md are those of the fields; -u writes them', async () => {
  const text = readFileSync(page, 'utf8');
  const made = text.replace(/(?<=<!-- keys: begin -->\n)[\s\S]*(?=\n<!-- keys: end -->)/, () => formatTables());
  expect(text).toMatch(/<!-- keys: begin -->\n[\s\S]+\n<!-- keys: end -->/);
  await expect(made).toMatchFileSnapshot(page);
});

test('the tables have every key of the JSON Schema, and no other', () => {
  const models = [...keysBelow(recipe.about)].flatMap(([path, { options = [] }]) =>
    options.flatMap(({ about }) => [...keysBelow(about, path)]),
  );
  const listed = [...keysBelow(recipe.about), ...models]
    .filter(
      ([, { fields, item, options, kinds = [] }]) =>
        [fields, item, options].every(one => one === undefined) || kinds.length > 0,
    )
    .map(([path]) => path.replaceAll('[]', '[0]'));
  // What the JSON Schema has for the inside of a value is no key.
  const keys = recipeKeys().map(key => key.replace(/(?:\[0\])+$/, ''));
  const remark = (key: string) => /\.(?:name|notes)$/.test(key);
  expect([...new Set(listed)].sort()).toEqual([...new Set(keys.filter(key => !remark(key)))].sort());
});

describe('a default that the tables state is what the recipe has without the key', () => {
  /** Every block that has to be there for a key below it to count. */
  const BASE = `recipe: 1
connector: {face: 1 mm}
needle: {gauge: 22}
resin: {density: 1 g/mL, glass: {uncured: -20 degC, cured: 100 degC, lambda: 0.4}, dot: {calibration: [{mass: 1 mg, diameter: 2 mm}]}}
station: {air: {model: ideal}, syringe: {fill: 1 mL}}
process: {takt: 40 s, cup: {diameter: 40 mm, wall: 10 W/(m^2.K)}}
settings: {ramp: [{add: 0.02 s, every: 2}]}
calibration: {data: trials.csv}
`;
  const IN_MODEL: Readonly<Record<string, string>> = {
    'station.air': '{model: iso6358, conductance: 0.3 dm^3/(s.bar), critical_ratio: 0.3}',
  };
  const stated = [...keysBelow(recipe.about)].flatMap(([path, about]) => [
    ...defaultsOf(path, about, []),
    ...(about.options ?? [])
      .filter(one => isModel(one.about))
      .flatMap(one =>
        [...keysBelow(one.about, path)].flatMap(([inner, below]) =>
          defaultsOf(inner, below, IN_MODEL[path] ? [`${path}=${IN_MODEL[path]}`] : []),
        ),
      ),
  ]);

  function defaultsOf(path: string, { default: value }: About, before: string[]) {
    return value === undefined ? [] : [{ path: path.replaceAll('[]', '[0]'), value: JSON.stringify(value), before }];
  }

  test('are found', () => expect(stated.length).toBeGreaterThan(20));

  test.each(stated)('$path: $value', async ({ path, value, before }) => {
    const files = memoryFiles({});
    const without = await parseRecipe(BASE, 'base.yaml', files, { set: before });
    const given = await parseRecipe(BASE, 'base.yaml', files, { set: [...before, `${path}=${value}`] });
    expect([without.findings, given.findings]).toEqual([[], []]);
    expect(given.digest).toBe(without.digest);
    expect(plainly(given.recipe)).toEqual(plainly(without.recipe));
  });

  /** The recipe without where its values came from. */
  const plainly = (made: unknown) =>
    JSON.parse(JSON.stringify(made, (key, value) => (key === 'source' ? undefined : value)));
});
