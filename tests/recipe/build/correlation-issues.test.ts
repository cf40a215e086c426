import { expect, test } from 'vitest';
import { spread } from '../../../src/analysis/rehearse/spread.ts';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { memoryFiles } from '../memory-files.ts';

const text = (needle: string, first: string, second: string) => `recipe: 1
needle: {${needle}, length: 12.7 mm}
resin: {density: 1.15 g/mL, rheology: {model: newtonian, viscosity: 2.4 Pa.s ± 15 %}, reference_temperature: 25 degC}
station:
  pressure: {min: 10 kPa, max: 550 kPa, step: 1 kPa, accuracy: 2 kPa}
  dwell: {min: 0.05 s, max: 99 s, step: 0.01 s, jitter: 0.003 s}
settings: {pressure: 210 kPa, dwell: 0.53 s}
correlations: [{between: [${first}, ${second}], r: 0.5}]
`;
const parse = (...parts: [string, string, string]) => parseRecipe(text(...parts), 'a.yaml', memoryFiles({}));

test.each([
  ['needle.bore', 'needle.outside'],
  ['needle.bore', 'resin.rheology.viscosity'],
  ['station.pressure.accuracy', 'station.dwell.jitter'],
])('what deviates by the gauge table or the station may go together: %s, %s', async (first, second) => {
  const { recipe, findings: wrong } = await parse('gauge: 22', first, second);
  expect(wrong).toEqual([]);
  const { result, findings } = spread(recipe!, { samples: 200 });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  expect(result!.first_order.inputs.map(({ path }) => path)).toEqual(expect.arrayContaining([first, second]));
});

test('a pair from the table enters the variance: both with r = 1/2', async () => {
  const u = async (r: number) => {
    const { recipe } = await parse('gauge: 22', 'needle.bore', 'resin.rheology.viscosity');
    const correlations = recipe!.correlations.map(c => ({ ...c, r }));
    return spread({ ...recipe!, correlations }, { samples: 200 }).result!.first_order;
  };
  const [apart, together] = [await u(0), await u(0.5)];
  const [a, b] = ['needle.bore', 'resin.rheology.viscosity'].map(path => {
    const input = apart.inputs.find(each => each.path === path)!;
    return input.sensitivity * input.standard_uncertainty;
  });
  // JCGM 100, 5.2.2: u² grows by 2·r·c₁u₁·c₂u₂; a wide bore gives more, a thick resin less, so it shrinks.
  const expected = Math.sqrt(apart.standard_uncertainty_uL ** 2 + 2 * 0.5 * a! * b!);
  expect(together.standard_uncertainty_uL / expected).toBeCloseTo(1, 10);
  expect(together.standard_uncertainty_uL).toBeLessThan(apart.standard_uncertainty_uL);
});

test('a path that is none keeps its suggestion, and the table gives only what the recipe leaves out', async () => {
  const [unknown] = (await parse('gauge: 22', 'needle.bor', 'needle.outside')).findings;
  expect(unknown).toMatchObject({ code: 'path-unknown', help: expect.stringContaining('needle.bore') });
  const given = await parse('bore: 0.41 mm, outside: 0.72 mm', 'needle.bore', 'resin.rheology.viscosity');
  expect(given.findings).toMatchObject([
    { code: 'path-unknown', message: '"needle.bore" has no tolerance to go with another' },
  ]);
  const without = await parse('bore: 0.41 ± 0.02 mm', 'needle.outside', 'needle.bore');
  expect(without.findings).toMatchObject([{ code: 'path-unknown', path: 'correlations[0].between[0]' }]);
});
