import { describe, expect, it } from 'vitest';
import { takenByDefault } from '../../../src/analysis/delivery/taken-by-default.ts';
import { setpoint } from '../../../src/analysis/setpoint/setpoint.ts';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { WHOLE } from '../../helpers/part-recipes.ts';
import { memoryFiles } from '../../recipe/memory-files.ts';

async function recipeOf(text: string) {
  const { recipe, findings, digest } = await parseRecipe(text, 'a.yaml', memoryFiles({}));
  expect(findings).toEqual([]);
  return { recipe: recipe!, digest };
}

const without = (...lines: string[]) => lines.reduce((text, line) => text.replace(line, ''), WHOLE);

describe('what a result takes by default', () => {
  it('is said with the value, in the order of the recipe, and only of what the result rests on', async () => {
    const text = without(
      '  ready_after: 12 min\n',
      '  prime: 3\n',
      '  protrusion: 1 mm\n',
      ', plunger_friction: 3 kPa',
    );
    const { recipe } = await recipeOf(text);
    // The defaults are those of recipes/FORMAT.md.
    expect(takenByDefault(recipe, 'cavity')).toEqual(['connector.protrusion: 0 mm']);
    const run = takenByDefault(recipe, 'run');
    expect(run).toEqual(
      expect.arrayContaining([
        ...['connector.protrusion: 0 mm', 'station.syringe.plunger_friction: 0 kPa'],
        ...['process.ready_after: 0 min', 'process.prime: 3'],
      ]),
    );
    expect(takenByDefault(recipe, 'shot')).not.toContain('process.prime: 3');
    expect(setpoint(recipe).result!.defaults).toContain('process.practical_dwell: 0.2 s to 4 s');
  });

  it('is not what the recipe says itself, be it the same', async () => {
    const { recipe } = await recipeOf(WHOLE);
    const run = takenByDefault(recipe, 'run').join('; ');
    expect(run).not.toMatch(/prime|ready_after|protrusion|friction|allowance/);
  });

  it('stays with a block that is changed, and moves no digest', async () => {
    const { recipe, digest } = await recipeOf(without('  prime: 3\n'));
    const changed = { ...recipe, process: { ...recipe.process! } };
    expect(takenByDefault(changed, 'run')).toContain('process.prime: 3');
    expect((await recipeOf(WHOLE)).digest).toBe(digest);
  });
});
