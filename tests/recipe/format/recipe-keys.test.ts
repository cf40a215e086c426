import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { changeText, inputChanges, meaningfulChanges, recipeInputs } from '../../../src/recipe/format/recipe-inputs.ts';
import { BLOCKS, blockOfKeys, recipeKeys } from '../../../src/recipe/format/recipe-keys.ts';
import { RESIN_PART, WHOLE } from '../../helpers/part-recipes.ts';
import { memoryFiles } from '../memory-files.ts';

const load = (text: string) => parseRecipe(text, 'a.yaml', memoryFiles({}));

describe('recipeKeys', () => {
  it('has every path of a recipe, items of lists as the first', async () => {
    const { data } = await load(WHOLE);
    const keys = new Set(recipeKeys());
    const paths = [...recipeInputs(data).keys()].map(path =>
      path.replace(/cavity\[\d\]|cable\[\d\]/, m => m.replace(/\d/, '0')),
    );
    // Of a list of two, such as the ends of a cone, the first stands for both.
    const missing = paths.map(path => path.replace(/\[1\]$/, '[0]')).filter(path => !keys.has(path));
    expect(missing).toEqual([]);
  });

  it('has the keys of every model, and no block as a whole', () => {
    const keys = recipeKeys();
    for (const key of [
      'resin.rheology.yield_stress',
      'resin.cure.gel_conversion',
      'station.air.hose.length',
      'settings.ramp.add',
    ]) {
      expect(keys).toContain(key);
    }
    for (const block of BLOCKS) expect(keys).not.toContain(block);
    expect([...keys].sort()).toEqual(keys);
  });
});

describe('blockOfKeys', () => {
  it('tells the blocks of a recipe apart by their keys', () => {
    const recipe = parse(WHOLE);
    for (const block of ['connector', 'needle', 'resin', 'station', 'process']) {
      expect(blockOfKeys(Object.keys(recipe[block])), block).toBe(block);
    }
    expect(blockOfKeys(Object.keys(parse(RESIN_PART)))).toBe('resin');
  });

  it('does not guess', () => {
    expect(blockOfKeys([])).toBeNull();
    expect(blockOfKeys(['name', 'notes'])).toBeNull();
    expect(blockOfKeys(['pressure'])).toBeNull(); // of a station or of settings
  });
});

describe('inputs', () => {
  it('that differ stand in the order of the paths, items of a list by number and not as text', () => {
    const at = (values: Readonly<Record<string, string>>) => new Map(Object.entries(values));
    const [old, now] = [{}, {}] as [Record<string, string>, Record<string, string>];
    for (const i of [10, 2, 11, 1, 0]) {
      old[`connector.cavity[${i}].length`] = '1 mm';
      now[`connector.cavity[${i}].length`] = '2 mm';
    }
    old['connector.cavity[2].diameter'] = '3 mm';
    const paths = inputChanges(at(old), at(now)).map(({ path }) => path.replace('connector.cavity', ''));
    expect(paths).toEqual(['[0].length', '[1].length', '[2].diameter', '[2].length', '[10].length', '[11].length']);
  });

  it('are the values as written, without names and remarks, items in their order', async () => {
    const { data } = await load(WHOLE);
    const inputs = recipeInputs(data);
    expect(inputs.get('connector.cavity[0].diameter')).toBe('126 ± 0.5 um');
    expect(inputs.get('needle.gauge')).toBe('22');
    expect([...inputs.keys()].filter(key => /name|notes|part$|surface$|^recipe$/.test(key))).toEqual([]);
    const many = recipeInputs({ list: Array.from({ length: 12 }, (_, i) => i) });
    expect([...many.keys()].at(-1)).toBe('list[11]');
  });

  it('a change of notation is none; a change of tolerance, a default written out and a new value are told apart', async () => {
    const [old, now] = [
      await load(WHOLE),
      await load(
        WHOLE.replace('210 kPa', '2.1 bar')
          .replace('± 15 %', '± 10 %')
          .replace('prime: 3', 'prime: 4')
          .replace('cable: #', 'bore_contact_angle: 90 deg\n  cable: #'),
      ),
    ];
    const texts = inputChanges(recipeInputs(old.data), recipeInputs(now.data));
    expect(texts.map(({ path }) => path)).toEqual([
      'connector.bore_contact_angle',
      'process.prime',
      'resin.rheology.viscosity',
      'settings.pressure',
    ]);
    expect(meaningfulChanges(texts, old.recipe!, now.recipe!).map(({ path }) => path)).toEqual([
      'process.prime',
      'resin.rheology.viscosity',
    ]);
  });

  it.each([
    ['2.4 Pa.s', '3 Pa.s', '2.4 → 3 Pa.s'],
    ['2.4 Pa.s', '3000 mPa.s', '2.4 Pa.s → 3000 mPa.s'],
    ['2.4 Pa.s ± 15 %', '2.4 Pa.s ± 10 %', '2.4 Pa.s ± 15 % → 2.4 Pa.s ± 10 %'],
    [null, '3', 'absent → 3'],
    ['3', null, '3 → absent'],
  ])('%s to %s', (old, now, text) => {
    expect(changeText({ old, new: now })).toBe(text);
  });
});
