import { describe, expect, test } from 'vitest';
import { cureCurveOf, fitCure } from '../../../src/analysis/fit/fit-cure.ts';
import { fitFlowCurve, flowCurveOf } from '../../../src/analysis/fit/fit-flow-curve.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const recipe = exampleRecipe();
const rates = Array.from({ length: 19 }, (_, i) => 10 ** (-1 + i / 6)); // 0.1 … 100 1/s
const curve = (viscosity: (rate: number) => number, noise = 0.01, seed = 5) => {
  const source = randomSource(seed);
  return rates.map(shearRate => ({
    shearRate,
    viscosity: viscosity(shearRate) * Math.exp(noise * source.normal()),
    temperature: null,
  }));
};
const codes = (findings: readonly { code: string }[]): string[] => findings.map(f => f.code);

/** Viscosities by hand from the formulas of the models, with what each parameter was. */
const TRUTHS: [string, (g: number) => number, Record<string, number>][] = [
  ['newtonian', () => 2.4, { viscosity_Pa_s: 2.4 }],
  ['power-law', g => 9.5 * g ** (0.71 - 1), { K_Pa_s_n: 9.5, n: 0.71 }],
  ['herschel-bulkley', g => 85 / g + 14 * g ** (0.62 - 1), { yield_stress_Pa: 85, K_Pa_s_n: 14, n: 0.62 }],
  ['bingham', g => 60 / g + 2.2, { yield_stress_Pa: 60, viscosity_Pa_s: 2.2 }],
  ['casson', g => (Math.sqrt(60 / g) + Math.sqrt(2.2)) ** 2, { yield_stress_Pa: 60, viscosity_Pa_s: 2.2 }],
  ['cross', g => 0.8 + 11.2 / (1 + (0.5 * g) ** 0.9), { zero_Pa_s: 12, infinity_Pa_s: 0.8, time_s: 0.5, m: 0.9 }],
  [
    'carreau-yasuda',
    g => 0.2 + 11.8 * (1 + (0.5 * g) ** 2) ** ((0.4 - 1) / 2),
    { zero_Pa_s: 12, infinity_Pa_s: 0.2, time_s: 0.5, a: 2, n: 0.4 },
  ],
];

describe('flow curves', () => {
  test.each(TRUTHS)('%s without noise gives its own parameters back', (name, viscosity, truth) => {
    const { result } = fitFlowCurve(recipe, curve(viscosity, 0));
    expect(result!.models).toHaveLength(8);
    const model = result!.models.find(m => m.name === name)!;
    expect(model.residual_sd).toBeLessThan(1e-7);
    for (const p of model.parameters) {
      expect(Math.abs(p.estimate / truth[p.name]! - 1), `${name} ${p.name}`).toBeLessThan(1e-4);
    }
  });

  test.each(TRUTHS)(
    '%s with one percent of noise is first or a hair behind, and its intervals are honest',
    (name, viscosity, truth) => {
      const { result } = fitFlowCurve(recipe, curve(viscosity));
      const model = result!.models.find(m => m.name === name)!;
      // AICc differences below about 4 tell nothing (Burnham & Anderson); a richer model may win by chance.
      expect(model.aicc! - result!.models[0]!.aicc!).toBeLessThan(4);
      expect(model.residual_sd).toBeGreaterThan(0.006);
      expect(model.residual_sd).toBeLessThan(0.016);
      // Three standard errors: a miss once in 370 for every one of the 18 parameters.
      for (const p of model.parameters) {
        if (p.standard_error !== null)
          expect(Math.abs(p.estimate - truth[p.name]!), p.name).toBeLessThan(3.5 * p.standard_error);
      }
      expect(result!.models.at(-1)).toMatchObject({ name: 'table', aicc: null });
    },
  );

  test.each(TRUTHS)('%s without noise comes first: digits of rounding do not choose', (name, viscosity, truth) => {
    const { result } = fitFlowCurve(recipe, curve(viscosity, 0));
    // A model that holds another as a special case fits as exactly; it has more parameters.
    expect(result!.models[0]!.name).toBe(name);
    expect(result!.models[0]!.parameters).toHaveLength(Object.keys(truth).length);
  });

  test('a reading that stands apart is named, and the curve of a fit is the model', () => {
    const points = curve(g => 9.5 * g ** -0.29, 0.005).map((p, i) => ({ ...p, line: i + 2 }));
    points[4] = { ...points[4]!, viscosity: points[4]!.viscosity * 1.3 };
    const { result, findings } = fitFlowCurve(recipe, points);
    const best = result!.models[0]!;
    expect(best.outliers).toEqual([5]);
    expect(findings.find(f => f.code === 'fit-outlier')!.message).toMatch(/^line 6 is an outlier/);
    const power = result!.models.find(m => m.name === 'power-law')!;
    const [K, n] = power.parameters.map(p => p.estimate) as [number, number];
    expect(flowCurveOf(power)!(10)).toBeCloseTo(K * 10 ** (n - 1), 9);
    expect(power.residuals_pct![4]).toBeCloseTo(
      100 * (points[4].viscosity / (K * points[4].shearRate ** (n - 1)) - 1),
      6,
    );
  });

  test('the models come best first', () => {
    const { result } = fitFlowCurve(
      recipe,
      curve(g => 9.5 * g ** -0.29),
    );
    const scores = result!.models.flatMap(m => (m.aicc === null ? [] : [m.aicc]));
    expect(scores).toEqual([...scores].sort((a, b) => a - b));
    expect(result!.shear_rate_range_per_s).toEqual([0.1, expect.closeTo(100, 9)]);
  });

  test('points at two temperatures meet at the reference one', () => {
    // By hand: 2.4 Pa·s at 25 °C, and exp((60e3/8.314462618)·(1/308.15 − 1/298.15)) of it at 35 °C.
    const warm = 2.4 * Math.exp((60e3 / 8.314462618) * (1 / 308.15 - 1 / 298.15));
    const points = [1, 10, 100].flatMap(shearRate => [
      { shearRate, viscosity: 2.4, temperature: 298.15 },
      { shearRate, viscosity: warm, temperature: 308.15 },
    ]);
    const { result, findings } = fitFlowCurve(recipe, points);
    expect(result!.models.find(m => m.name === 'newtonian')!.parameters[0]!.estimate).toBeCloseTo(2.4, 9);
    expect(codes(findings)).not.toContain('fit-temperatures');
    const bare = exampleRecipe({ 'resin.activation_energy': null });
    expect(codes(fitFlowCurve(bare, points).findings)).toContain('fit-temperatures');
  });

  test('one point is too few; two points fit the models of two parameters and no more', () => {
    expect(codes(fitFlowCurve(recipe, curve(() => 1).slice(0, 1)).findings)).toEqual(['fit-too-few']);
    const { result } = fitFlowCurve(recipe, curve(() => 1).slice(0, 2));
    expect(result!.models.find(m => m.name === 'cross')!.note).toContain('cannot tell');
  });
});

describe('cure curves', () => {
  const ages = [0, 300, 600, 1200, 1800, 2700, 3600];

  test('factors that double in an hour give the pot life back', () => {
    const points = ages.map(age => ({ age, viscosity: null, factor: 2 ** (age / 3600), temperature: null }));
    const { result } = fitCure(recipe, points);
    const model = result!.models.find(m => m.name === 'pot-life')!;
    expect(model.parameters.map(p => p.name)).toEqual(['time_min', 'factor', 'activation_energy_kJ_per_mol']);
    expect(model.parameters[0]!.estimate).toBeCloseTo(60, 6);
    expect(model.parameters[1]).toMatchObject({ estimate: 2, fixed: true });
  });

  test('pot life and roller are one curve at one temperature: the kind that the recipe has goes first', () => {
    const points = ages.map(age => ({ age, viscosity: null, factor: 2 ** (age / 3600), temperature: null }));
    const first = (model: Parameters<typeof fitCure>[0]) => fitCure(model, points).result!.models[0]!.name;
    expect(first(recipe)).toBe('pot-life');
    const dual = { model: 'roller', rate: 2e6, activation_energy: 63e3 };
    expect(first(exampleRecipe({ 'resin.cure': dual }))).toBe('roller');
  });

  test('the curve of a fit gives viscosities where such were measured', () => {
    const points = ages.map(age => ({ age, viscosity: 2.4 * 2 ** (age / 3600), factor: null, temperature: 298.15 }));
    const { result } = fitCure(recipe, points);
    const [at] = cureCurveOf(recipe, result!.models[0]!, { ages: [5400], temperature: 298.15 })!;
    expect(at).toBeCloseTo(2.4 * 2 ** 1.5, 6);
  });

  test('viscosities at three temperatures give both energies and the rate of a dual Arrhenius resin', () => {
    // ln η = ln 2.4 + (60e3/R)(1/T − 1/298.15) + 2e6·exp(−63e3/(R·T))·t
    const R = 8.314462618;
    const points = [288.15, 298.15, 308.15].flatMap(temperature =>
      ages.map(age => {
        const rate = 2e6 * Math.exp(-63e3 / (R * temperature));
        const viscosity = 2.4 * Math.exp((60e3 / R) * (1 / temperature - 1 / 298.15) + rate * age);
        return { age, viscosity, factor: null, temperature };
      }),
    );
    const { result } = fitCure(recipe, points);
    const model = result!.models.find(m => m.name === 'roller')!;
    const value = Object.fromEntries(model.parameters.map(p => [p.name, p.estimate]));
    expect(value['viscosity_at_age_0_Pa_s']).toBeCloseTo(2.4, 6);
    expect(value['viscosity_activation_energy_kJ_per_mol']).toBeCloseTo(60, 5);
    expect(value['activation_energy_kJ_per_mol']).toBeCloseTo(63, 4);
    expect(value['rate_per_s']! / 2e6).toBeCloseTo(1, 4);
  });

  test('a resin that gels is better told by Castro–Macosko', () => {
    // First order without autocatalysis has a closed form: α = 1 − exp(−k·t); η = (g/(g − α))^c.
    const source = randomSource(3);
    const k = 1e-4;
    const kinetic = exampleRecipe({
      'resin.cure': {
        model: 'castro-macosko',
        A1: 2.5e5,
        E1: 62e3,
        A2: 0,
        E2: 62e3,
        m: 1,
        n: 1,
        gel_conversion: 0.55,
        c1: 1.5,
        c2: 0,
      },
    });
    const points = Array.from({ length: 15 }, (_, i) => 400 * (i + 1)).map(age => {
      const conversion = 1 - Math.exp(-k * age);
      return {
        age,
        viscosity: null,
        factor: (0.55 / (0.55 - conversion)) ** 1.5 * Math.exp(0.005 * source.normal()),
        temperature: null,
      };
    });
    const { result } = fitCure(kinetic, points);
    expect(result!.models[0]!.name).toBe('castro-macosko');
    const value = Object.fromEntries(result!.models[0]!.parameters.map(p => [p.name, p]));
    const rate = value['A1_per_s']!.estimate * Math.exp(-62e3 / (8.314462618 * 298.15));
    // Rate and exponent share the early growth; three standard errors as in the flow curves.
    expect(Math.abs(rate / k - 1)).toBeLessThan(0.2);
    expect(result!.models.map(m => m.name)).toHaveLength(3);
  });

  test('mixed kinds and a single age are errors', () => {
    const bad = [
      { age: 100, viscosity: 2, factor: null, temperature: null },
      { age: 100, viscosity: null, factor: 1.1, temperature: null },
    ];
    expect(codes(fitCure(recipe, bad).findings)).toEqual(['fit-too-few', 'fit-too-few']);
  });
});
