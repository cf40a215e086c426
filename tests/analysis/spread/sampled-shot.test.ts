import { describe, expect, it } from 'vitest';
import { cavityBook } from '../../../src/analysis/cavity/cavity-book.ts';
import { operatingPoint } from '../../../src/analysis/delivery/operating-point.ts';
import { connectorWindow, FIT, OUT } from '../../../src/analysis/inputs/connector-window.ts';
import { inputKey, visitQuantities } from '../../../src/analysis/inputs/input-key.ts';
import { makeSlots } from '../../../src/analysis/inputs/slot.ts';
import { type SpreadInput, spreadInputs, withTableSizes } from '../../../src/analysis/inputs/spread-inputs.ts';
import { generalShot } from '../../../src/analysis/spread/sampled-general-shot.ts';
import { sampledShot } from '../../../src/analysis/spread/sampled-shot.ts';
import { spreadProblem } from '../../../src/analysis/spread/spread-problem.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

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
    ['an entrance of four radii', { 'needle.entrance_lengths': 4 }],
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
    const inputs = spreadInputs(recipe, { pressure: 210e3, dwell: 0.53 });
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

describe('any recipe, its models kept while they stay', () => {
  const blocks = ['needle', 'resin', 'station', 'process', 'calibration', 'settings'] as const;
  const cross = { model: 'cross', zero: 12, infinity: 0.8, time: 0.05, m: 0.8 };
  const bingham = { model: 'bingham', yield_stress: 60, viscosity: 2.2 };
  const carreau = { model: 'carreau-yasuda', zero: 12, infinity: 0.8, time: 0.05, a: 1.3, n: 0.4 };
  const valve = { model: 'iso6358', conductance: 3e-9, critical_ratio: 0.3 };
  const lag = { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01 };
  const kinetics = { A1: 2.5e5, E1: 62e3, A2: 2e6, E2: 60e3, m: 0.8, n: 1.6, gel_conversion: 0.55, c1: 1.5, c2: 1 };
  const gelling = { model: 'castro-macosko', ...kinetics };
  const points = [0.1, 12, 10, 7, 1000, 2].flatMap((x, i, all) => (i % 2 === 0 ? [[x, all[i + 1]!]] : []));
  const ageing = [60, 1.05, 1800, 1.4, 3600, 2.2].flatMap((x, i, all) => (i % 2 === 0 ? [[x, all[i + 1]!]] : []));
  const profile = [0, 280, 600, 296].flatMap((x, i, all) => (i % 2 === 0 ? [[x, all[i + 1]!]] : []));
  const calibration = { viscosity_factor: 1.2, pressure_offset: 4e3, dead_time: 0.02 };
  const variants: [string, Record<string, unknown>][] = [
    ['power law', { 'resin.rheology': { model: 'power-law', K: 9.5, n: 0.71 } }],
    ['Herschel–Bulkley', { 'resin.rheology': { model: 'herschel-bulkley', yield_stress: 85, K: 14, n: 0.62 } }],
    ['Bingham', { 'resin.rheology': bingham }],
    ['Casson', { 'resin.rheology': { ...bingham, model: 'casson' } }],
    ['Cross', { 'resin.rheology': cross }],
    ['Carreau–Yasuda', { 'resin.rheology': carreau }],
    ['a flow curve', { 'resin.rheology': { model: 'table', points } }],
    ['a lag', { 'station.air': lag }],
    ['a lag and a yield stress', { 'station.air': lag, 'resin.rheology': bingham }],
    ['a valve', { 'station.air': valve }],
    ['a valve and Cross', { 'station.air': valve, 'resin.rheology': cross }],
    ['a gelling cure', { 'station.air': lag, 'resin.cure': gelling }],
    [
      'a yield stress with its own energy',
      { 'resin.rheology': bingham, 'resin.yield_activation_energy': 20e3, 'station.air': lag },
    ],
    ['an entrance of four radii', { 'resin.rheology': cross, 'needle.entrance_lengths': 4 }],
    ['a cure table', { 'resin.cure': { model: 'table', points: ageing } }],
    ['a warming resin', { 'process.temperature': { profile } }],
    ['a tapered tip', { 'needle.sections': tip, 'needle.bore': null, 'needle.ends': 'both', 'resin.rheology': cross }],
    ['a calibration', { calibration, 'resin.rheology': cross }],
  ];

  /** An operating point made for one sample, and what it delivers [m³]: NaN where it cannot be. */
  function plainly(recipe: Recipe, inputs: readonly SpreadInput[], deviations: Float64Array): number {
    const shift = new Map(inputs.map((input, i) => [input.key, deviations[i]!]));
    const copy = structuredClone(recipe);
    const { accuracy } = copy.station!.pressure!;
    const { jitter } = copy.station!.dwell!;
    visitQuantities(copy, quantity => {
      if ('per' in quantity) return; // a half-width: what deviates by it is the setting
      Object.assign(quantity, { value: quantity.value + (shift.get(inputKey(quantity)) ?? 0) });
    });
    const pressure = copy.settings!.pressure!.value + (shift.get(inputKey(accuracy!)) ?? 0);
    const dwell = copy.settings!.dwell!.value + (shift.get(inputKey(jitter!)) ?? 0);
    return operatingPoint(copy).result?.deliver({ pressure, dwell }).volume ?? Number.NaN;
  }

  function compare(given: Recipe, samples: number) {
    const recipe = withTableSizes(given);
    const setting = { pressure: recipe.settings!.pressure!.value, dwell: recipe.settings!.dwell!.value };
    const problem = spreadProblem(recipe, setting).result!;
    const draw = problem.sampler();
    const random = randomSource(5);
    const deviations = new Float64Array(problem.size);
    const out = new Float64Array(OUT.length);
    const shots: number[] = [];
    let worst = 0;
    for (let n = 0; n < samples; n++) {
      draw(deviations, random);
      problem.evaluate(deviations, out);
      const expected = plainly(recipe, problem.inputs, deviations);
      expect(Number.isNaN(out[OUT.shot]!)).toBe(Number.isNaN(expected));
      if (Number.isNaN(expected)) continue;
      worst = Math.max(worst, expected === 0 ? out[OUT.shot]! : Math.abs(out[OUT.shot]! / expected - 1));
      shots.push(expected);
    }
    const range = Math.max(...shots) / Math.min(...shots);
    return { worst, range, impossible: samples - shots.length, way: problem.way };
  }

  it.each(variants)('delivers what an operating point made for each sample does: %s', (_, overrides) => {
    const { worst, range, way } = compare(loose(withTableSizes(exampleRecipe(overrides)), blocks), 40);
    expect(way).toBe('general');
    expect(worst).toBeLessThan(1e-9); // the same sums: what is left is where root finders and quadratures stop
    expect(range).toBeGreaterThan(1.2);
  });

  it('a cure that is interpolated over the temperature delivers what its integration does', () => {
    // Of what the cure depends on, the temperature alone deviates: after 120 draws its factor comes from a series.
    const overrides = { 'resin.cure': gelling, 'station.air': lag };
    expect(compare(exampleRecipe(overrides), 240).worst).toBeLessThan(1e-9);
  });

  it('a draw past the gel point, or with numbers that no model takes, cannot be, one way as the other', () => {
    const hot = { value: 318, halfWidth: 18, distribution: 'uniform', per: 'syringe' };
    const late = { 'resin.cure': gelling, 'process.temperature': hot, 'process.ready_after': 9000 };
    const gel = compare(exampleRecipe(late), 200);
    expect(gel.impossible).toBeGreaterThan(10);
    expect(gel.impossible).toBeLessThan(190);
    expect(gel.worst).toBeLessThan(1e-9);
    const wild = { value: 60, halfWidth: 90, distribution: 'uniform', per: 'lot' };
    const below = compare(exampleRecipe({ 'resin.rheology': { ...bingham, yield_stress: wild } }), 100);
    expect(below.impossible).toBeGreaterThan(5);
  });
});

/** Twelve fibres in a row, their bores side by side, behind them one flat chamber. */
const ARRAY = {
  'connector.cavity': [
    { part: 'bore', diameter: 126e-6, length: 5.5e-3, count: 12, pitch: 0.25e-3 },
    { part: 'lead-in', diameter: [126e-6, 0.24e-3], length: 0.5e-3, count: 12, pitch: 0.25e-3 },
    { part: 'chamber', width: 3.1e-3, height: 1.1e-3, length: 7e-3 },
  ],
  'connector.cable': [
    { part: 'fibre', diameter: 118e-6, length: 8e-3, count: 12, pitch: 0.25e-3 },
    { part: 'ribbon', width: 2.9e-3, height: 0.3e-3, length: 20e-3 },
  ],
};

describe('the backfill window of a sample', () => {
  /** The recipe with every input at its value and deviation; `together`: diameters of a row off by what they are in the mean. */
  function moved(recipe: Recipe, inputs: readonly SpreadInput[], deviations: Float64Array, together = false): Recipe {
    const shift = new Map(inputs.map((input, i) => [input.key, deviations[i]!]));
    const copy = structuredClone(recipe);
    visitQuantities(copy, quantity => {
      const [, stack, i] = /^connector\.(cavity|cable)\[(\d+)\]\.diameter/.exec(quantity.path) ?? [];
      const count = stack === undefined ? 1 : (recipe.connector![stack as 'cavity' | 'cable']![Number(i)]!.count ?? 1);
      const share = together ? 1 / Math.sqrt(count) : 1;
      Object.assign(quantity, { value: quantity.value + share * (shift.get(inputKey(quantity)) ?? 0) });
    });
    return copy;
  }

  it.each([
    ['the middle by volume', {}],
    ['a given reach', { 'connector.reach.aim': 10.2e-3 }],
    ['a needle that seats in the tube', { 'needle.outside': 1.06e-3 }],
    ['a conical rear', { 'connector.cavity[2]': { part: 'rear', diameter: [1.0e-3, 1.4e-3], length: 7e-3 } }],
    ['twelve bores before a chamber', ARRAY],
    [
      'a ribbon in a round tube',
      { 'connector.cable[2]': { part: 'ribbon', width: 0.95e-3, height: 0.4e-3, length: 20e-3 } },
    ],
    [
      'a chamber that is nearly square',
      { 'connector.cavity[2]': { part: 'chamber', width: 1e-3, height: 1.02e-3, length: 7e-3 } },
    ],
  ])('is that of the connector’s book: %s', (_, overrides) => {
    const recipe = withTableSizes(loose(exampleRecipe(overrides), ['connector']));
    const inputs = spreadInputs(recipe, { pressure: 210e3, dwell: 0.53 });
    const evaluate = connectorWindow(recipe.connector, recipe.needle!.outside!, makeSlots(inputs))!;
    const draw = spreadProblem(recipe, { pressure: 210e3, dwell: 0.53 }).result!.sampler();
    const random = randomSource(8);
    const deviations = new Float64Array(inputs.length + 1);
    let [compared, tight] = [0, 0];
    for (let n = 0; n < 300; n++) {
      draw(deviations, random);
      const out = new Float64Array(OUT.length);
      const fit = evaluate(deviations, out);
      const { findings } = cavityBook(moved(recipe, inputs, deviations));
      const { result } = cavityBook(moved(recipe, inputs, deviations, true));
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

  it('holds what fibres in a row displace as of fibres that deviate each by itself', () => {
    const recipe = withTableSizes(exampleRecipe(ARRAY));
    const [fibre] = recipe.connector!.cable!;
    const halfWidth = 1e-6;
    for (const end of [fibre!.front, fibre!.rear]) {
      Object.assign(end, { tolerance: { halfWidth, distribution: 'uniform', coverage: 1, per: 'connector' } });
    }
    const inputs = spreadInputs({ connector: recipe.connector } as Recipe, { pressure: 1, dwell: 1 });
    expect(inputs).toHaveLength(1);
    const evaluate = connectorWindow(recipe.connector, recipe.needle!.outside!, makeSlots(inputs))!;
    const leastAt = (deviation: number) => {
      const out = new Float64Array(OUT.length);
      evaluate(Float64Array.of(deviation, 0), out);
      return out[OUT.min]!;
    };
    // Behind the bores the fibres go on to 8 mm less the millimetre that stands out. V = Σ π/4·d²·L over twelve: dV = √12·(π/2)·d·L·u.
    const length = 7e-3 - 5.5e-3;
    const due = Math.sqrt(12) * (Math.PI / 2) * 118e-6 * length * halfWidth * (1 + recipe.connector!.allowance.value);
    expect((leastAt(-halfWidth) - leastAt(halfWidth)) / 2 / due).toBeCloseTo(1, 6);
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
