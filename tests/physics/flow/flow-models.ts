import type { Rheology } from '../../../src/physics/rheology/rheology.ts';

/** One resin of every kind, in the range of filled and unfilled two-part epoxies; invented numbers. */
export const MODELS: Record<string, Rheology> = {
  newtonian: { model: 'newtonian', viscosity: 2.4 },
  'power law': { model: 'power-law', consistency: 9.5, flowIndex: 0.71 },
  'power law, thickening': { model: 'power-law', consistency: 0.6, flowIndex: 1.3 },
  bingham: { model: 'bingham', yieldStress: 60, viscosity: 2.2 },
  'herschel-bulkley': { model: 'herschel-bulkley', yieldStress: 85, consistency: 14, flowIndex: 0.62 },
  'herschel-bulkley, very thinning': { model: 'herschel-bulkley', yieldStress: 85, consistency: 60, flowIndex: 0.2 },
  casson: { model: 'casson', yieldStress: 60, viscosity: 2.2 },
  cross: { model: 'cross', zero: 12, infinity: 0.8, time: 0.05, m: 0.8 },
  'cross, no infinity': { model: 'cross', zero: 12, infinity: 0, time: 0.05, m: 0.7 },
  'cross, sharp': { model: 'cross', zero: 12, infinity: 3, time: 0.05, m: 1.8 },
  'carreau-yasuda': { model: 'carreau-yasuda', zero: 12, infinity: 0.8, time: 0.05, a: 1.3, n: 0.4 },
  'carreau-yasuda, sharp': { model: 'carreau-yasuda', zero: 12, infinity: 0, time: 0.05, a: 4, n: 0.15 },
  table: {
    model: 'table',
    points: [
      [0.1, 12],
      [1, 11],
      [10, 7],
      [100, 2.5],
      [1000, 1],
    ],
  },
  'table, uneven': {
    model: 'table',
    points: [
      [0.1, 12],
      [1, 1.5],
      [10, 1.4],
      [100, 0.2],
      [1000, 0.19],
    ],
  },
  'table, almost flat and steep by turns': {
    model: 'table',
    points: [
      [0.1, 120],
      [1, 13],
      [10, 12.8],
      [100, 1.4],
      [1000, 1.39],
    ],
  },
};

export const relative = (value: number, expected: number): number => Math.abs(value / expected - 1);
