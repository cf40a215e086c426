import { randomSource } from '../../src/numeric/random.ts';

// Recipes as a workshop may write them, drawn at random: every rheology, every air, every cure, and numbers from the whole of their trades.

/** Draws one number after the other from a seed. */
export interface Draw {
  /** Evenly spread over the decades between two numbers. */
  decades(from: number, to: number): number;
  between(from: number, to: number): number;
  chance(share: number): boolean;
  one<T>(all: readonly T[]): T;
}

export function drawFrom(seed: number): Draw {
  const random = randomSource(seed);
  const between = (from: number, to: number) => Number((from + (to - from) * random.uniform()).toPrecision(4));
  return {
    between,
    decades: (from, to) => Number((from * (to / from) ** random.uniform()).toPrecision(4)),
    chance: share => random.uniform() < share,
    one: all => all[Math.floor(random.uniform() * all.length)]!,
  };
}

type Block = Readonly<Record<string, unknown>>;
type Models = Readonly<Record<string, (draw: Draw) => Block>>;

const mm = (length: number) => `${length.toFixed(2)} mm`;
const viscosity = (draw: Draw) => `${draw.decades(0.05, 80)} Pa.s`;

/** Points of a flow curve that thins, as a rheometer gives them. */
function flowCurve(draw: Draw): Block {
  const n = draw.between(0.3, 1);
  const K = draw.decades(0.1, 60);
  const rates = [0.1, 0.5, 1, 5, 10, 50, 100, 500].slice(draw.one([0, 1, 2]));
  return { points: rates.map(rate => [`${rate} 1/s`, `${(K * rate ** (n - 1)).toPrecision(4)} Pa.s`]) };
}

function thickening(draw: Draw): Block {
  const minutes = draw.decades(2, 200);
  return {
    points: [0, 0.5, 1, 2, 3].map(t => [`${(t * minutes).toPrecision(4)} min`, Number((2 ** t).toPrecision(4))]),
  };
}

export const RHEOLOGIES: Models = {
  newtonian: draw => ({ viscosity: viscosity(draw) }),
  'power-law': draw => ({ K: `${draw.decades(0.1, 60)} Pa.s^n`, n: draw.between(0.2, 1.2) }),
  'herschel-bulkley': draw => ({
    yield_stress: `${draw.decades(0.1, 300)} Pa`,
    K: `${draw.decades(0.1, 60)} Pa.s^n`,
    n: draw.between(0.2, 1.2),
  }),
  bingham: draw => ({ yield_stress: `${draw.decades(0.1, 300)} Pa`, viscosity: viscosity(draw) }),
  casson: draw => ({ yield_stress: `${draw.decades(0.1, 300)} Pa`, viscosity: viscosity(draw) }),
  cross: draw => ({
    zero: `${draw.decades(1, 500)} Pa.s`,
    infinity: `${draw.one([0, draw.decades(0.01, 1)])} Pa.s`,
    time: `${draw.decades(1e-4, 10)} s`,
    m: draw.between(0.2, 1),
  }),
  'carreau-yasuda': draw => ({
    zero: `${draw.decades(1, 500)} Pa.s`,
    infinity: `${draw.one([0, draw.decades(0.01, 1)])} Pa.s`,
    time: `${draw.decades(1e-4, 10)} s`,
    a: draw.between(0.3, 3),
    n: draw.between(0.2, 1),
  }),
  table: flowCurve,
};

export const AIRS: Models = {
  ideal: () => ({}),
  'first-order': draw => ({
    rise: `${draw.one([0, draw.decades(1, 500)])} ms`,
    fall: `${draw.one([0, draw.decades(1, 500)])} ms`,
    delay: `${draw.one([0, draw.decades(1, 50)])} ms`,
  }),
  iso6358: draw => ({
    conductance: `${draw.decades(0.01, 3)} dm^3/(s.bar)`,
    critical_ratio: draw.between(0, 0.5),
    ...(draw.chance(0.4) && { hose: { inside_diameter: '2.5 mm', length: `${draw.decades(0.2, 5)} m` } }),
    ...(draw.chance(0.4) && { vent_to: `${-draw.between(0.1, 5)} kPa` }),
    ...(draw.chance(0.3) && { exhaust_conductance: `${draw.decades(0.01, 3)} dm^3/(s.bar)` }),
  }),
};

export const CURES: Models = {
  none: () => ({}),
  'pot-life': draw => ({
    time: `${draw.decades(3, 300)} min`,
    factor: draw.one([1.5, 2, 4]),
    ...(draw.chance(0.5) && { activation_energy: `${draw.between(30, 90)} kJ/mol` }),
  }),
  roller: draw => ({
    rate: `${draw.decades(1e3, 1e7)} 1/s`,
    activation_energy: `${draw.between(40, 70)} kJ/mol`,
  }),
  'castro-macosko': draw => ({
    A1: `${draw.decades(1e3, 1e6)} 1/s`,
    E1: `${draw.between(50, 70)} kJ/mol`,
    A2: `${draw.decades(1e3, 1e6)} 1/s`,
    E2: `${draw.between(45, 65)} kJ/mol`,
    m: draw.between(0.3, 1.5),
    n: draw.between(1, 2.2),
    gel_conversion: draw.between(0.4, 0.8),
    c1: draw.between(0.5, 3),
    c2: draw.between(0, 3),
  }),
  table: thickening,
};

/** A recipe with these models, as text. All else is drawn as well, and parts are left out as people leave them out. */
export function drawRecipe(draw: Draw, models: { rheology: string; air: string; cure: string }): string {
  const { rheology, air, cure } = models;
  const ppm = (value: number, share: number) => `${value} um ± ${(value * share).toPrecision(3)} um`;
  const bore = draw.between(126.6, 140);
  const length = draw.between(2, 12);
  const tube = draw.between(3, 15);
  const protrusion = draw.between(0, 2);
  const step = draw.one([0.1, 1, 5]);
  return JSON.stringify(
    {
      recipe: 1,
      name: 'Drawn at random',
      connector: {
        cavity: [
          { part: 'bore', diameter: ppm(bore, 0.002), length: `${length} mm` },
          { part: 'lead-in', diameter: [`${bore} um`, '0.9 mm'], length: '0.6 mm' },
          { part: 'tube', diameter: `${draw.between(1, 2)} mm`, length: `${tube} mm` },
        ],
        face: '1.25 mm',
        cable: [
          {
            part: 'fibre',
            diameter: '125 ± 0.7 um',
            length: `${(length + protrusion + draw.between(0.3, 1)).toFixed(2)} mm`,
          },
          { part: 'coating', diameter: '245 um', length: '1 mm' },
          { part: 'buffer', diameter: '0.9 mm', length: '30 mm' },
        ],
        protrusion: `${protrusion} mm`,
        ...(draw.chance(0.95) && { bead: { diameter: `${draw.between(0.2, 0.9)} mm`, contact_angle: '60 deg' } }),
        ...(draw.chance(0.95) && {
          reach: { min: mm(length + 0.7 + 0.3 * tube), max: mm(length + 0.6 + draw.between(0.4, 0.9) * tube) },
        }),
        allowance: `${draw.between(0, 10)} %`,
      },
      needle: {
        ...draw.one([
          { gauge: draw.one([20, 21, 22, 23, 25, 27, 30]) },
          { bore: `${draw.between(0.1, 0.6)} mm`, outside: '0.72 mm' },
        ]),
        length: `${draw.one([6.35, 12.7, 25.4, 38.1])} mm`,
        ends: draw.one(['entrance', 'both', 'none']),
      },
      resin: {
        density: `${draw.between(0.95, 2.2)} g/mL`,
        ...(draw.chance(0.95) && { surface_tension: `${draw.between(25, 50)} mN/m` }),
        rheology: { model: rheology, ...RHEOLOGIES[rheology]!(draw) },
        ...(draw.chance(0.7) && { activation_energy: `${draw.between(20, 90)} kJ/mol` }),
        lot_factor: draw.one([1, draw.between(0.7, 1.4)]),
        cure: { model: cure, ...CURES[cure]!(draw) },
        ...(draw.chance(0.93) && { dot: { contact_angle: `${draw.between(8, 100)} deg`, read_after: '20 s' } }),
        ...(draw.chance(0.5) && {
          mix: {
            base: `${draw.between(50, 150)} g`,
            hardener: `${draw.between(5, 100)} g`,
            tolerance: `${draw.between(1, 8)} %`,
          },
          heat_of_reaction: `${draw.between(150, 500)} kJ/kg`,
          heat_capacity: '1.8 kJ/(kg.K)',
        }),
      },
      station: {
        pressure: {
          min: `${draw.between(5, 50)} kPa`,
          max: `${draw.between(200, 700)} kPa`,
          step: `${step} kPa`,
          ...(draw.chance(0.7) && { accuracy: `${draw.between(0.5, 5)} kPa` }),
        },
        dwell: {
          min: `${draw.decades(0.005, 0.1)} s`,
          max: `${draw.decades(5, 100)} s`,
          step: `${draw.one([0.001, 0.01, 0.1])} s`,
          ...(draw.chance(0.7) && { jitter: `${draw.decades(0.001, 0.02)} s` }),
        },
        ...(draw.chance(0.93) && { rating: `${draw.between(300, 1000)} kPa` }),
        air: { model: air, ...(draw.chance(0.3) && { exponent: draw.one([1, 1.2, 1.4]) }), ...AIRS[air]!(draw) },
        ...(draw.chance(0.7) && { hold_back: { max: `${draw.between(0.5, 10)} kPa` } }),
        syringe: {
          barrel: `${draw.one([3, 5, 10, 30])} mL`,
          inside_diameter: `${draw.one([9.5, 12.5, 15.8, 22.7])} mm`,
          fill: `${draw.between(0.4, 2.9)} mL`,
          left_over: `${draw.between(0, 0.3)} mL`,
          plunger_friction: `${draw.one([0, draw.between(0.5, 15)])} kPa`,
        },
        ramp: { add_step: '0.01 s', stages: draw.one([1, 2, 3]) },
        scale: `${draw.one([0.001, 0.01, 0.1])} g`,
      },
      process: {
        temperature: draw.chance(0.85)
          ? `${draw.between(15, 32)} ± ${draw.between(0.2, 3)} degC`
          : {
              profile: [
                ['0 min', `${draw.between(15, 32)} degC`],
                ['30 min', `${draw.between(15, 32)} degC`],
              ],
            },
        takt: `${draw.between(10, 180)} s`,
        ready_after: `${draw.between(0, 20)} min`,
        tolerance: `${draw.between(2, 30)} %`,
        ...(draw.chance(0.8) && { stop_at: { viscosity_factor: draw.between(1.2, 4) } }),
        bore_shot: draw.one(['by_sight', 'by_dwell']),
        prime: draw.one([0, 3, 10]),
        ...(draw.chance(0.5) && { cup: { diameter: '40 mm', wall: `${draw.between(2, 20)} W/(m^2.K)` } }),
      },
      ...(draw.chance(0.3) && {
        calibration: {
          viscosity_factor: draw.between(0.6, 1.6),
          pressure_offset: `${draw.between(-5, 10)} kPa`,
          dead_time: `${draw.between(0, 0.05)} s`,
        },
      }),
      ...(draw.chance(0.8) && {
        settings: {
          pressure: `${Math.round(draw.between(60, 600) / step) * step} kPa`,
          dwell: `${draw.decades(0.1, 5)} s`,
          ...(draw.chance(0.5) && { ramp: { add: `${draw.one([0.01, 0.05])} s`, every: draw.one([1, 5, 20]) } }),
        },
      }),
    },
    null,
    1,
  );
}
