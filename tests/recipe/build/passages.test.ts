import { describe, expect, it } from 'vitest';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { memoryFiles } from '../memory-files.ts';

const BORE = '{diameter: 126 um, length: 5 mm}';

/** Codes and places of what is wrong with a cavity and a cable; the recipe where nothing is. */
async function read(cavity: string, cable = BORE) {
  const text = `recipe: 1\nconnector:\n  cavity: [${cavity}]\n  cable: [${cable}]\n`;
  const { recipe, findings, digest } = await parseRecipe(text, 'array.yaml', memoryFiles({}));
  return { recipe, digest, found: findings.map(({ code, path }) => `${code} ${path}`) };
}

describe('sections of several passages and rectangles', () => {
  it('are read as their smaller side, with count, pitch and sides', async () => {
    const { recipe, found } = await read(
      '{diameter: 126 um, length: 1 mm, count: 12, pitch: 0.25 mm}, {width: 9.4 mm, height: 0.9 ± 0.1 mm, length: 6 mm}',
      '{diameter: 125 um, length: 3 mm, count: 12, pitch: 250 um}, {width: 3.1 mm, height: 0.3 mm, length: 20 mm}',
    );
    expect(found).toEqual([]);
    const [bore, chamber] = recipe!.connector!.cavity!;
    expect(bore).toMatchObject({ count: 12, pitch: { value: 0.25e-3 } });
    expect(chamber!.front).toMatchObject({ value: 0.9e-3, path: 'connector.cavity[1].height' });
    expect(chamber!.sides!.width.value).toBe(9.4e-3);
    expect(chamber!.count).toBeUndefined();
  });

  it('one passage is the same recipe as no count', async () => {
    const [one, none] = await Promise.all([read('{diameter: 126 um, length: 5 mm, count: 1}'), read(BORE)]);
    expect(one.digest).toBe(none.digest);
  });

  it.each([
    ['no shape', '{length: 5 mm}', 'key-missing connector.cavity[0].diameter'],
    ['half a rectangle', '{width: 5 mm, length: 5 mm}', 'key-missing connector.cavity[0].height'],
    ['two shapes', '{diameter: 1 mm, width: 5 mm, length: 5 mm}', 'key-conflict connector.cavity[0].width'],
    ['a pitch of one', '{diameter: 1 mm, pitch: 5 mm, length: 5 mm}', 'key-missing connector.cavity[0].count'],
    [
      'bores that overlap',
      '{diameter: 1 mm, count: 2, pitch: 0.9 mm, length: 5 mm}',
      'order-wrong connector.cavity[0].pitch',
    ],
    [
      'rectangles that overlap',
      '{width: 2 mm, height: 1 mm, count: 2, pitch: 1.9 mm, length: 5 mm}',
      'order-wrong connector.cavity[0].pitch',
    ],
    [
      'a count behind a chamber',
      `${BORE}, {diameter: 1 mm, count: 2, length: 5 mm}`,
      'order-wrong connector.cavity[1].count',
    ],
    [
      'passages again behind a chamber',
      `{diameter: 126 um, count: 2, length: 5 mm}, ${BORE}, {diameter: 126 um, count: 2, length: 5 mm}`,
      'order-wrong connector.cavity[2].count',
    ],
    [
      'a count of another size',
      '{diameter: 1 mm, count: 4, length: 5 mm}, {diameter: 1 mm, count: 2, length: 5 mm}',
      'order-wrong connector.cavity[1].count',
    ],
    ['a count that is none', '{diameter: 1 mm, count: 0, length: 5 mm}', 'value-range connector.cavity[0].count'],
  ])('%s is wrong, at its place', async (_, cavity, expected) => {
    expect((await read(cavity)).found).toEqual([expected]);
  });

  it('more fibres than bores are wrong, where the bores are several', async () => {
    const twelve = '{diameter: 125 um, count: 12, length: 5 mm}';
    expect((await read(BORE, twelve)).found).toEqual([]);
    expect((await read('{diameter: 126 um, count: 12, length: 5 mm}', twelve)).found).toEqual([]);
    expect((await read('{diameter: 126 um, count: 8, length: 5 mm}', twelve)).found).toEqual([
      'order-wrong connector.cable[0].count',
    ]);
  });

  it('a needle has none of it', async () => {
    const text = 'recipe: 1\nneedle: {sections: [{diameter: 0.4 mm, length: 12 mm, count: 2}]}\n';
    const { findings } = await parseRecipe(text, 'needle.yaml', memoryFiles({}));
    expect(findings.map(({ code }) => code)).toEqual(['key-unknown']);
  });
});
