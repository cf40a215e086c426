import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { tubeFlowRate } from '../../../src/physics/flow/tube-flow.ts';
import {
  measuredRange,
  type Rheology,
  shearStressAt,
  simplified,
  thickened,
  viscosityAt,
  yieldStressOf,
} from '../../../src/physics/rheology/rheology.ts';
import { rheologyProblems } from '../../../src/physics/rheology/rheology-problems.ts';
import { MODELS, relative } from '../flow/flow-models.ts';
import { shearRateAt } from './shear-rate-at.ts';

describe('shear stress of each model', () => {
  it('matches hand values', () => {
    expect(shearStressAt({ model: 'newtonian', viscosity: 2.4 }, 10)).toBeCloseTo(24, 12);
    expect(shearStressAt({ model: 'power-law', consistency: 10, flowIndex: 0.5 }, 25)).toBeCloseTo(50, 12);
    const paste: Rheology = { model: 'herschel-bulkley', yieldStress: 20, consistency: 10, flowIndex: 0.5 };
    expect(shearStressAt(paste, 25)).toBeCloseTo(70, 12);
    expect(shearStressAt({ model: 'bingham', yieldStress: 60, viscosity: 2 }, 10)).toBeCloseTo(80, 12);
    expect(shearStressAt({ model: 'casson', yieldStress: 9, viscosity: 4 }, 4)).toBeCloseTo(49, 12); // (3 + 4)²
    // (t·γ̇)^m = 1: half way from 12 to 2 Pa·s
    expect(shearStressAt({ model: 'cross', zero: 12, infinity: 2, time: 0.5, m: 0.8 }, 2)).toBeCloseTo(14, 12);
    // (1 + 3)^((0.5 − 1)/1) = 1/2 of the difference of 10 Pa·s
    const yasuda: Rheology = { model: 'carreau-yasuda', zero: 12, infinity: 2, time: 1.5, a: 1, n: 0.5 };
    expect(shearStressAt(yasuda, 2)).toBeCloseTo(14, 12);
    // half way in log–log between 4 and 1 Pa·s is 2 Pa·s at √(1·100) 1/s
    expect(
      viscosityAt(
        {
          model: 'table',
          points: [
            [1, 4],
            [100, 1],
          ],
        },
        10,
      ),
    ).toBeCloseTo(2, 12);
  });

  // carreau-blood: parameters of Cho & Kensey, Biorheology 28 (1991) 241–262, READ in public code; values COMPUTED.
  it('gives the Carreau viscosity of blood', () => {
    const blood: Rheology = { model: 'carreau-yasuda', zero: 0.056, infinity: 0.00345, time: 3.313, a: 2, n: 0.3568 };
    const expected = [0.056, 0.05426911426552, 0.02709765120664, 0.00897890465701, 0.00470766513136, 0.00373600016263];
    [0, 0.1, 1, 10, 100, 1000].forEach((rate, i) => {
      expect(relative(viscosityAt(blood, rate), expected[i]!)).toBeLessThan(1e-11); // 12 digits given
    });
  });

  // bingham-china-clay, statement READ (Chhabra & Richardson, 2nd ed., example 3.2); n and K COMPUTED to 6 and 4 digits.
  it('meets the power law fitted to china clay at both ends of its range', () => {
    const clay: Rheology = { model: 'bingham', yieldStress: 15, viscosity: 0.15 };
    const fitted: Rheology = { model: 'power-law', consistency: 9.075, flowIndex: 0.259637 };
    for (const rate of [10, 100]) {
      expect(relative(shearStressAt(fitted, rate), shearStressAt(clay, rate))).toBeLessThan(1e-5);
    }
  });

  it('extends the end pieces of a table', () => {
    const points: [number, number][] = [
      [1, 4],
      [100, 1],
      [1000, 0.8],
    ];
    const table: Rheology = { model: 'table', points };
    const slope = (i: number) =>
      Math.log(points[i + 1]![1] / points[i]![1]) / Math.log(points[i + 1]![0] / points[i]![0]);
    expect(relative(viscosityAt(table, 0.01), 4 * 0.01 ** slope(0))).toBeLessThan(1e-12);
    expect(relative(viscosityAt(table, 1e5), 0.8 * 100 ** slope(1))).toBeLessThan(1e-12);
    expect(measuredRange(table)).toEqual([1, 1000]);
    expect(measuredRange(MODELS['cross']!)).toBeNull();
  });

  it('reads a table in any order', () => {
    const points = (MODELS['table'] as Rheology & { model: 'table' }).points;
    const turned: Rheology = { model: 'table', points: [...points].reverse() };
    for (const rate of [0.01, 3, 1e4]) expect(shearStressAt(turned, rate)).toBe(shearStressAt(MODELS['table']!, rate));
  });
});

describe('shear rate from stress', () => {
  it.each(Object.entries(MODELS))('inverts the stress of %s', (_, r) => {
    fc.assert(
      fc.property(fc.double({ min: -4, max: 5, noNaN: true }), exponent => {
        const rate = 10 ** exponent;
        const stress = shearStressAt(r, rate);
        // what is left of the rate after a yield stress has been added to its stress, and the power 1/n
        const lost = (4e-16 * stress) / (stress - yieldStressOf(r));
        return relative(shearRateAt(r, stress), rate) < 1e-12 + 10 * lost;
      }),
      { seed: 1 },
    );
  });

  it('is exactly zero at and below the yield stress', () => {
    for (const r of [MODELS['bingham']!, MODELS['casson']!, MODELS['herschel-bulkley']!]) {
      expect(shearRateAt(r, yieldStressOf(r))).toBe(0);
      expect(shearRateAt(r, yieldStressOf(r) / 2)).toBe(0);
      expect(shearRateAt(r, yieldStressOf(r) * (1 + 1e-12))).toBeGreaterThan(0);
    }
    expect(shearRateAt(MODELS['cross']!, 0)).toBe(0);
  });

  it('tells what a resting resin shows', () => {
    expect(viscosityAt(MODELS['newtonian']!, 0)).toBe(2.4);
    expect(viscosityAt(MODELS['cross']!, 0)).toBe(12);
    expect(viscosityAt(MODELS['bingham']!, 0)).toBe(Number.POSITIVE_INFINITY);
    expect(viscosityAt(MODELS['power law']!, 0)).toBe(Number.POSITIVE_INFINITY);
    expect(viscosityAt(MODELS['power law, thickening']!, 0)).toBe(0);
    for (const [name, r] of Object.entries(MODELS)) expect(shearStressAt(r, 0), name).toBe(yieldStressOf(r));
  });
});

describe('thickened', () => {
  it('scales viscosity, K and yield stress, and the time of Cross and Carreau–Yasuda', () => {
    expect(thickened(MODELS['newtonian']!, 2)).toEqual({ model: 'newtonian', viscosity: 4.8 });
    expect(thickened(MODELS['power law']!, 2)).toEqual({ model: 'power-law', consistency: 19, flowIndex: 0.71 });
    expect(thickened(MODELS['casson']!, 2)).toEqual({ model: 'casson', yieldStress: 120, viscosity: 4.4 });
    expect(thickened(MODELS['cross']!, 2)).toEqual({ model: 'cross', zero: 24, infinity: 1.6, time: 0.1, m: 0.8 });
    expect(
      thickened(
        {
          model: 'table',
          points: [
            [1, 4],
            [8, 2],
          ],
        },
        2,
      ),
    ).toEqual({
      model: 'table',
      points: [
        [0.5, 8],
        [4, 4],
      ],
    });
  });

  it.each(['newtonian', 'cross', 'carreau-yasuda', 'carreau-yasuda, sharp', 'table', 'table, uneven'])(
    'divides the flow of %s at one stress by the factor',
    name => {
      const r = MODELS[name]!;
      for (const wallShearStress of [3, 300, 30_000]) {
        const flow = tubeFlowRate({ rheology: r, radius: 2e-4, wallShearStress });
        const thick = tubeFlowRate({ rheology: thickened(r, 1.7), radius: 2e-4, wallShearStress });
        expect(relative(thick, flow / 1.7)).toBeLessThan(1e-12);
      }
    },
  );

  it.each(['power law', 'bingham', 'herschel-bulkley', 'casson'])('multiplies the stress of %s at one flow', name => {
    const r = MODELS[name]!;
    for (const rate of [0.1, 10, 1000]) {
      expect(relative(shearStressAt(thickened(r, 1.7), rate), 1.7 * shearStressAt(r, rate))).toBeLessThan(1e-14);
    }
  });

  it('refuses a factor that is not positive', () => {
    for (const factor of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => thickened(MODELS['newtonian']!, factor)).toThrow(DomainError);
    }
  });
});

describe('simplified', () => {
  it('drops what has no effect', () => {
    const newtonian = { model: 'newtonian', viscosity: 3 };
    expect(simplified({ model: 'herschel-bulkley', yieldStress: 0, consistency: 3, flowIndex: 1 })).toEqual(newtonian);
    expect(simplified({ model: 'casson', yieldStress: 0, viscosity: 3 })).toEqual(newtonian);
    expect(simplified({ model: 'cross', zero: 3, infinity: 3, time: 1, m: 0.5 })).toEqual(newtonian);
    expect(simplified({ model: 'carreau-yasuda', zero: 3, infinity: 1, time: 1, a: 2, n: 1 })).toEqual(newtonian);
    expect(simplified(MODELS['table']!)).toBe(MODELS['table']);
  });
});

describe('numbers that make no flow model', () => {
  const problemsOf = (r: Rheology) => rheologyProblems(r).map(p => p.parameter);

  it('are all named, not just the first', () => {
    expect(problemsOf({ model: 'herschel-bulkley', yieldStress: -1, consistency: 0, flowIndex: Number.NaN })).toEqual([
      'yieldStress',
      'consistency',
      'flowIndex',
    ]);
    expect(problemsOf({ model: 'cross', zero: 0, infinity: -1, time: 0, m: 0 })).toEqual([
      'zero',
      'infinity',
      'time',
      'm',
    ]);
    expect(problemsOf({ model: 'carreau-yasuda', zero: 1, infinity: 0, time: 1, a: 0, n: Number.NaN })).toEqual([
      'a',
      'n',
    ]);
    for (const [name, r] of Object.entries(MODELS)) expect(problemsOf(r), name).toEqual([]);
  });

  it('include a table whose stress falls or repeats a shear rate, at the point in the order given', () => {
    const table = (...points: [number, number][]): Rheology => ({ model: 'table', points });
    expect(problemsOf(table([1, 2]))).toEqual(['points']);
    expect(problemsOf(table([1, 2], [0, 1]))).toEqual(['points[1][0]']);
    expect(problemsOf(table([1, 2], [10, 0.2]))).toEqual(['points[1][1]']); // stress stays at 2 Pa
    expect(problemsOf(table([100, 1], [1, 2], [10, 0.1]))).toEqual(['points[2][1]']);
    expect(problemsOf(table([1, 2], [1, 1.5], [10, 1]))).toEqual(['points[1][0]']);
    expect(() => shearStressAt(table([1, 2], [10, 0.1]), 5)).toThrow(/points\[1\]\[1\].*shear stress rises/);
  });

  // The limit is where the least slope dτ/dγ̇ is zero; a scan of the stress sees it from both sides.
  it.each([
    ['cross', (infinity: number): Rheology => ({ model: 'cross', zero: 10, infinity, time: 1, m: 2 })],
    [
      'carreau-yasuda',
      (infinity: number): Rheology => ({ model: 'carreau-yasuda', zero: 10, infinity, time: 1, a: 2, n: -0.5 }),
    ],
  ])('include a %s whose stress falls somewhere', (_, model) => {
    const falls = (r: Rheology & { infinity: number; zero: number }): boolean => {
      let before = 0;
      for (let x = -7; x < 9; x += 0.002) {
        const y = Math.exp(2 * x);
        const part = r.model === 'cross' ? 1 / (1 + y) : (1 + y) ** -0.75;
        const stress = Math.exp(x) * (r.infinity + (r.zero - r.infinity) * part);
        if (stress < before) return true;
        before = stress;
      }
      return false;
    };
    let limits = 0;
    for (let infinity = 0.02; infinity < 3; infinity += 0.02) {
      const r = model(infinity) as Rheology & { infinity: number; zero: number };
      const problem = rheologyProblems(r).length > 0;
      expect(problem, `infinity ${infinity}`).toBe(falls(r));
      limits += problem ? 1 : 0;
    }
    expect(limits).toBeGreaterThan(5); // the scan has seen both sides
  });

  it('include a viscosity that would turn negative', () => {
    const r: Rheology = { model: 'carreau-yasuda', zero: 1, infinity: 3, time: 1, a: 2, n: 1.1 };
    expect(problemsOf(r)).toEqual(['n']); // 3 − 2·(1 + γ̇²)^0.05 is below zero from γ̇ = 60 1/s on
    expect(problemsOf({ ...r, n: 0.9 })).toEqual([]);
  });

  it('include a stress that levels off', () => {
    expect(problemsOf({ model: 'cross', zero: 10, infinity: 0, time: 1, m: 1 })).toEqual(['m']);
    expect(problemsOf({ model: 'carreau-yasuda', zero: 10, infinity: 0, time: 1, a: 2, n: 0 })).toEqual(['n']);
    expect(problemsOf({ model: 'cross', zero: 10, infinity: 0.1, time: 1, m: 1 })).toEqual([]);
  });

  it('are refused by every function, as are negative rates and stresses', () => {
    const bad: Rheology = { model: 'newtonian', viscosity: 0 };
    for (const call of [shearStressAt, viscosityAt, shearRateAt, thickened])
      expect(() => call(bad, 1)).toThrow(DomainError);
    for (const call of [shearStressAt, viscosityAt, shearRateAt]) {
      expect(() => call(MODELS['newtonian']!, -1)).toThrow(DomainError);
      expect(() => call(MODELS['newtonian']!, Number.NaN)).toThrow(DomainError);
    }
  });
});
