import { describe, expect, it } from 'vitest';
import { findRecipes } from '../../../src/cli/recipes/find-recipes.ts';
import { hasRecipeKey } from '../../../src/cli/recipes/has-recipe-key.ts';
import { fakeIo } from '../fake-io.ts';

const RECIPE = 'recipe: 1\n';
const PART = 'face: 1.25 mm\n';

async function found(paths: string[], files: Record<string, string>, stdin?: string) {
  const { recipes, single, leftOut } = await findRecipes(paths, fakeIo(files, { stdin }));
  return { files: recipes.map(({ file }) => file), single, leftOut };
}

describe('finding recipes', () => {
  it('one file is single, whatever stands in it', async () => {
    expect(await found(['a.yaml'], { 'a.yaml': PART })).toEqual({ files: ['a.yaml'], single: true, leftOut: [] });
  });

  it('several files are not single, keep their order, and count once', async () => {
    const files = { 'a.yaml': RECIPE, 'b.yaml': RECIPE };
    expect(await found(['b.yaml', 'a.yaml', './b.yaml'], files)).toMatchObject({
      files: ['./b.yaml', 'a.yaml'],
      single: false,
    });
  });

  it('a folder gives its YAML files with a `recipe:` key, sorted, and says which it left out', async () => {
    const files = { 'l/b.yml': RECIPE, 'l/a/x.yaml': RECIPE, 'l/parts/slim.yaml': PART, 'l/data.csv': 'recipe: 1' };
    expect(await found(['l/'], files)).toEqual({
      files: ['l/a/x.yaml', 'l/b.yml'],
      single: false,
      leftOut: ['l/parts/slim.yaml'],
    });
  });

  it('names may be in capitals, as some systems write them', async () => {
    const files = { 'l/UP.YAML': RECIPE, 'l/Mixed.Yml': RECIPE, 'l/x.yaml.bak': RECIPE, 'l/PART.YML': PART };
    for (const path of ['l', 'l/*']) {
      expect(await found([path], files)).toMatchObject({
        files: ['l/Mixed.Yml', 'l/UP.YAML'],
        leftOut: ['l/PART.YML'],
      });
    }
  });

  it('a recipe in UTF-16, or one that stands some blanks in, is no part', () => {
    const utf16 = Buffer.from(`\ufeff${RECIPE}name: x\n`, 'utf16le');
    expect(hasRecipeKey(utf16)).toBe(true);
    expect(hasRecipeKey(Buffer.from(utf16).swap16())).toBe(true);
    expect(hasRecipeKey(utf16.subarray(2))).toBe(true);
    expect(hasRecipeKey(Buffer.from(`\ufeff${PART}`, 'utf16le'))).toBe(false);
    expect(hasRecipeKey(Buffer.from('# remark\n\n  recipe: 1\n  name: x\n'))).toBe(true);
    expect(hasRecipeKey(Buffer.from('bead:\n  recipe: 1\n'))).toBe(false);
    expect(hasRecipeKey(Buffer.from('{"name":"x","recipe":1}'))).toBe(true);
  });

  it('the current folder gives names without ./', async () => {
    expect(await found(['.'], { 'a.yaml': RECIPE })).toMatchObject({ files: ['a.yaml'], single: false });
  });

  it('a pattern gives what it matches, and is never single', async () => {
    const files = { 'l/a.yaml': RECIPE, 'l/b.yaml': RECIPE, 'm/a.yaml': RECIPE, 'l/b.txt': RECIPE };
    expect(await found(['l/*'], files)).toMatchObject({ files: ['l/a.yaml', 'l/b.yaml'], single: false });
    expect(await found(['**/b.yaml'], files)).toMatchObject({ files: ['l/b.yaml'], single: false });
  });

  it('a file whose name looks like a pattern is a file', async () => {
    expect(await found(['a[1].yaml'], { 'a[1].yaml': RECIPE })).toMatchObject({ files: ['a[1].yaml'], single: true });
  });

  it.each([
    'recipe: 1',
    'name: x\nrecipe: 1\n',
    '\uFEFFrecipe: 1\n',
    '"recipe": 1\n',
    "name: x\r\n'recipe' : 1\r\n",
    '{recipe: 1, name: x}',
    '{"name": "x", "recipe": 1}',
    'recipe:\n  1',
  ])('%j counts as a recipe', async text => {
    expect((await found(['l'], { 'l/a.yaml': text })).files).toEqual(['l/a.yaml']);
  });

  it.each([PART, '# recipe: 1\n', 'connector:\n  recipe: 1\n', 'recipes: 1\n', ''])('%j is a part', async text => {
    await expect(found(['l'], { 'l/a.yaml': text })).rejects.toThrow(
      'l: no recipe in this folder (1 YAML file without a `recipe:` key)',
    );
  });

  it('an empty folder or a pattern that matches nothing is wrong usage', async () => {
    await expect(found(['l'], { 'l/x.txt': '' })).rejects.toThrow(/^l: no recipe in this folder$/);
    await expect(found(['*.yaml'], {})).rejects.toThrow(/^\*\.yaml: no recipe in this pattern$/);
  });

  it('says every path that does not exist', async () => {
    await expect(found(['a.yaml', 'b.yaml', 'c.yaml'], { 'b.yaml': RECIPE })).rejects.toThrow(
      'a.yaml: there is no such file or folder\nerror: c.yaml: there is no such file or folder',
    );
  });

  it('standard input is single, and readable as a file', async () => {
    const { recipes, single } = await findRecipes(['-'], fakeIo({}, { stdin: 'recipe: 1' }));
    expect(single).toBe(true);
    expect(new TextDecoder().decode(recipes[0]?.files.readBytes('-'))).toBe('recipe: 1');
  });

  it('holds no text of what it found, so that memory does not grow with the folder', async () => {
    const io = fakeIo({ 'l/a.yaml': RECIPE });
    let text = RECIPE;
    const files = { ...io.files, readBytes: () => new TextEncoder().encode(text) };
    const { recipes } = await findRecipes(['l'], { ...io, files });
    text = 'recipe: 1\nname: Written since\n';
    expect((await recipes[0]?.load({}))?.recipe?.name).toBe('Written since');
  });
});
