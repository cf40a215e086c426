import { describe, expect, it } from 'vitest';
import { cavityBook } from '../../src/analysis/cavity-book.ts';
import { connectorWindow, FIT, OUT } from '../../src/analysis/connector-window.ts';
import { inputKey, visitQuantities } from '../../src/analysis/input-key.ts';
import { generalShot, sampledShot } from '../../src/analysis/sampled-shot.ts';
import { makeSlots } from '../../src/analysis/slot.ts';
import { type SpreadInput, spreadInputs, withTableSizes } from '../../src/analysis/spread-inputs.ts';
import { spreadProblem } from '../../src/analysis/spread-problem.ts';
import { randomSource } from '../../src/numeric/random.ts';
import type { Recipe } from '../../src/recipe/recipe.ts';
import { exampleRecipe } from '../helpers/recipe-builder.ts';

/** Every quantity of the blocks with a tolerance of 5 %, so that everything moves. */
function loose(recipe: Recipe, blocks: readonly (keyof Recipe)[]): Recipe {
  const copy = structuredClone(recipe);
  for (const block of blocks) {
    visitQuantities(copy[block], quantity => {
      if ('per' in quantity || quantity.value === 0) return;
      const part = quantity.path.includes('temperature') ? 0.003 : 0.05;
      const tolerance = { halfWidth: part * quantity.value, distribution: 'uniform', coverage: 1, per: 'lot' };
      Object.assign(quantity, { tolerance });
    });
  }
  return copy;
}

const air = { rheology: { model: 'newtonian', viscosity: 2.4 } };
const tip = [
  { part: 'hub', diameter: 0.84e-3, length: 6e-3 },
  { part: 'cone', diameter: [0.84e-3, 0.41e-3], length: 12e-3 },
  { part: 'tip', diameter: 0.3e-3, length: 4e-3 },
];

describe('the product of a Newtonian resin and ideal air', () => {
  const variants: [string, Record<string, unknown>][] = [
    ['the example', {}],
    [
      'pot life with an activation energy',
      { 'resin.cure': { model: 'pot-life', time: 3600, factor: 2, activation_energy: 60e3 } },
    ],
    [
      'pot life at its own temperature',
      {
        'resin.cure': { model: 'pot-life', time: 3600, factor: 2, activation_energy: 50e3, reference_temperature: 303 },
      },
    ],
    ['dual Arrhenius', { 'resin.cure': { model: 'roller', rate: 2e6, activation_energy: 63e3 } }],
    ['no cure, no activation energy', { 'resin.cure': { model: 'none' }, 'resin.activation_energy': null }],
    ['no temperature', { 'process.temperature': null }],
    ['a tapered tip, both ends', { 'needle.sections': tip, 'needle.ends': 'both', 'needle.bore': null }],
    ['a needle without ends', { 'needle.ends': 'none' }],
    ['a calibration', { calibration: { viscosity_factor: 1.2, pressure_offset: 4e3, dead_time: 0.02 } }],
    ['no syringe', { 'station.syringe': null }],
  ];

  it.each(variants)('agrees with the models one by one, sample by sample: %s', (_, overrides) => {
    const recipe = withTableSizes(
      loose(exampleRecipe({ ...air, ...overrides }), [
        'needle',
        'resin',
        'station',
        'process',
        'calibration',
        'settings',
      ]),
    );
    const inputs = spreadInputs(recipe);
    const slots = makeSlots(inputs);
    const { settings, station } = recipe;
    const zero = { base: 0 };
    const setting = {
      pressure: slots.of(settings!.pressure!),
      accuracy: { ...zero, index: slots.of(station!.pressure!.accuracy!).index },
      dwell: slots.of(settings!.dwell!),
      jitter: { ...zero, index: slots.of(station!.dwell!.jitter!).index },
    };
    const product = sampledShot(recipe, setting, slots);
    expect(product.way).toBe('product');
    const general = generalShot(recipe, setting, slots);
    const draw = spreadProblem(recipe, { pressure: 210e3, dwell: 0.53 }).result!.sampler();
    const random = randomSource(2);
    const deviations = new Float64Array(inputs.length + 1);
    const [a, b] = [new Float64Array(OUT.length), new Float64Array(OUT.length)];
    let [least, most] = [Number.POSITIVE_INFINITY, 0];
    for (let n = 0; n < 300; n++) {
      draw(deviations, random);
      product.evaluate(deviations, a);
      general(deviations, b);
      // The same equations in another order: rounding alone.
      expect(Math.abs(a[OUT.shot]! / b[OUT.shot]! - 1)).toBeLessThan(1e-12);
      least = Math.min(least, a[OUT.shot]!);
      most = Math.max(most, a[OUT.shot]!);
    }
    expect(most / least).toBeGreaterThan(1.2); // the samples do differ
  });

  it('is not taken for other resins and other air', () => {
    const way = (overrides: Record<string, unknown>) =>
      spreadProblem(exampleRecipe(overrides), { pressure: 210e3, dwell: 0.53 }).result!.way;
    expect(way({})).toBe('product');
    expect(way({ 'resin.rheology': { model: 'bingham', yield_stress: 60, viscosity: 2.2 } })).toBe('general');
    expect(way({ 'station.air': { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01 } })).toBe('general');
    expect(
      way({
        'process.temperature': {
          profile: [
            [0, 280],
            [600, 296],
          ],
        },
      }),
    ).toBe('general');
  });

  it('a pressure or dwell that is used up delivers nothing, either way', () => {
    const recipe = withTableSizes(exampleRecipe());
    const slots = makeSlots([]);
    const fixed = (pressure: number, dwell: number) => ({
      ...{
        pressure: slots.fixed(pressure),
        dwell: slots.fixed(dwell),
        accuracy: slots.fixed(0),
        jitter: slots.fixed(-0.01),
      },
    });
    for (const setting of [fixed(2e3, 0.5), fixed(-5e3, 0.5), fixed(2e5, 0.005)]) {
      const out = new Float64Array(OUT.length).fill(1);
      sampledShot(recipe, setting, slots).evaluate(new Float64Array(1), out);
      expect(out[OUT.shot]).toBe(0);
      generalShot(recipe, setting, slots)(new Float64Array(1), out);
      expect(out[OUT.shot]).toBe(0);
    }
  });
});

describe('the backfill window of a sample', () => {
  /** The recipe with every input at its value and deviation. */
  function moved(recipe: Recipe, inputs: readonly SpreadInput[], deviations: Float64Array): Recipe {
    const shift = new Map(inputs.map((input, i) => [input.key, deviations[i]!]));
    const copy = structuredClone(recipe);
    visitQuantities(copy, quantity =>
      Object.assign(quantity, { value: quantity.value + (shift.get(inputKey(quantity)) ?? 0) }),
    );
    return copy;
  }

  it.each([
    ['the middle by volume', {}],
    ['a given reach', { 'connector.reach.aim': 10.2e-3 }],
    ['a needle that seats in the tube', { 'needle.outside': 1.06e-3 }],
    ['a conical rear', { 'connector.cavity[2]': { part: 'rear', diameter: [1.0e-3, 1.4e-3], length: 7e-3 } }],
  ])('is that of the connector’s book: %s', (_, overrides) => {
    const recipe = withTableSizes(loose(exampleRecipe(overrides), ['connector']));
    const inputs = spreadInputs(recipe);
    const evaluate = connectorWindow(recipe.connector, recipe.needle!.outside!, makeSlots(inputs))!;
    const draw = spreadProblem(recipe, { pressure: 210e3, dwell: 0.53 }).result!.sampler();
    const random = randomSource(8);
    const deviations = new Float64Array(inputs.length + 1);
    let [compared, tight] = [0, 0];
    for (let n = 0; n < 300; n++) {
      draw(deviations, random);
      const out = new Float64Array(OUT.length);
      const fit = evaluate(deviations, out);
      const { result, findings } = cavityBook(moved(recipe, inputs, deviations));
      const interferes = findings.some(({ code }) => code === 'cable-interference');
      expect(fit === FIT.interferes).toBe(interferes && fit !== FIT.noSeat);
      expect(fit === FIT.noSeat).toBe(result!.seat === null);
      if (fit === FIT.interferes) tight++;
      const { min, aim, max } = result!.backfill;
      // The book cuts the gap, the sample takes one stack from the other: rounding of some nL out of 10 uL.
      if (fit === FIT.noSeat || min === null || max === null || aim === null) continue;
      compared++;
      for (const [key, value] of [
        ['min', min],
        ['aim', aim],
        ['max', max],
      ] as const) {
        expect(Math.abs(out[OUT[key]]! - value)).toBeLessThan(1e-12 * 1e-8);
      }
    }
    expect(compared).toBeGreaterThan(100);
    expect(tight).toBeGreaterThan(0);
  });

  it('does not exist without cavity, cable, reach or needle', () => {
    const slots = makeSlots([]);
    const { connector, needle } = withTableSizes(exampleRecipe());
    const { cable: _cable, ...bare } = connector!;
    expect(connectorWindow(undefined, needle!.outside!, slots)).toBeNull();
    expect(connectorWindow(bare, needle!.outside!, slots)).toBeNull();
    expect(connectorWindow(connector, null, slots)).toBeNull();
  });
});
