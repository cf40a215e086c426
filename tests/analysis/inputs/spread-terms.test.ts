import { describe, expect, it } from 'vitest';
import { spreadModel, standardUncertainty } from '../../../src/analysis/inputs/spread-terms.ts';
import { spreadProblem } from '../../../src/analysis/spread/spread-problem.ts';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { memoryFiles } from '../../recipe/memory-files.ts';

const SETTING = { pressure: 210e3, dwell: 0.53 };
const terms = (overrides = {}) => spreadModel(exampleRecipe(overrides)).result!.terms(SETTING);
const of = (cause: string, overrides = {}) => terms(overrides).filter(t => t.cause === cause);

describe('the predicted spread, term by term', () => {
  // V ∝ (p − f)·t·d⁴/(L·η) without ends: relative sensitivities are the exponents
  it('reads half-widths as JCGM 100 does', () => {
    const tolerance = { halfWidth: 6, coverage: 2, per: 'lot' } as const;
    expect(standardUncertainty({ ...tolerance, distribution: 'uniform' })).toBeCloseTo(6 / Math.sqrt(3), 12);
    expect(standardUncertainty({ ...tolerance, distribution: 'triangular' })).toBeCloseTo(6 / Math.sqrt(6), 12);
    expect(standardUncertainty({ ...tolerance, distribution: 'normal' })).toBe(3);
  });

  it('counts pressure over the net pressure, and jitter over the dwell', () => {
    expect(of('pressure accuracy')[0]!.relative).toBeCloseTo(1e3 / 207e3, 9);
    expect(of('dwell jitter')[0]!.relative).toBeCloseTo(0.0015 / 0.53, 9);
  });

  it('takes accuracy and jitter as shares of what is set, at whatever is set', async () => {
    const recipeOf = async (accuracy: string, jitter: string) => {
      const station = `{pressure: {min: 10 kPa, max: 550 kPa, step: 1 kPa, accuracy: ${accuracy}}, dwell: {min: 0.05 s, max: 99 s, step: 0.01 s, jitter: ${jitter}}}`;
      const text = `recipe: 1
needle: {gauge: 22, length: 12.7 mm}
resin: {rheology: {model: newtonian, viscosity: 2.4 Pa.s}}
station: ${station}
process: {temperature: 25 degC}
`;
      const { recipe, findings } = await parseRecipe(text, 'a.yaml', memoryFiles({}));
      expect(findings).toEqual([]);
      return recipe!;
    };
    const shares = await recipeOf('2 %', '{value: 1 %, distribution: uniform}');
    // Ideal air, no friction: V ∝ p·t, so the share of the shot is that of the setting, halved or over √3, at every setting.
    for (const setting of [SETTING, { pressure: 420e3, dwell: 0.2 }]) {
      const [pressure, dwell] = spreadModel(shares).result!.terms(setting);
      expect([pressure!.cause, dwell!.cause]).toEqual(['pressure accuracy', 'dwell jitter']);
      expect(pressure!.relative).toBeCloseTo(0.02 / 2, 9);
      expect(dwell!.relative).toBeCloseTo(0.01 / Math.sqrt(3), 9);
    }
    // 2 % of 210 kPa and 1 % of 0.53 s, for the exact product as well, before and after another dwell is set.
    const given = await recipeOf('4.2 kPa', '{value: 5.3 ms, distribution: uniform}');
    const problems = [shares, given].map(recipe => spreadProblem(recipe, SETTING).result!);
    const halfWidths = problems.map(({ inputs }) => inputs.map(({ halfWidth }) => halfWidth));
    halfWidths[0]!.forEach((width, i) => void expect(width).toBeCloseTo(halfWidths[1]![i]!, 12));
    const jitter = problems[0]!.withDwell(1.06).inputs.find(({ paths }) => paths[0] === 'station.dwell.jitter');
    expect(jitter!.halfWidth).toBeCloseTo(0.0106, 12);
    // One text for both is still two deviations, one of a pressure and one of a dwell.
    const shared = await recipeOf('&share 2 %', '*share');
    const paths = spreadProblem(shared, SETTING).result!.inputs.map(input => input.paths);
    expect(paths).toEqual(expect.arrayContaining([['station.pressure.accuracy'], ['station.dwell.jitter']]));
  });

  it('counts the bore four times, given or from the gauge table', () => {
    const given = { 'needle.ends': 'none', 'needle.gauge': null, 'needle.outside': 0.72e-3 };
    const bore = { value: 0.41e-3, halfWidth: 0.02e-3, distribution: 'uniform', per: 'needle' };
    const [term] = of('needle', { ...given, 'needle.bore': bore });
    // a central difference over 1 % of the standard uncertainty: exact to (u/100·d)² of the fourth power
    expect(term!.relative / (4 * (0.02 / 0.41 / Math.sqrt(3)))).toBeCloseTo(1, 5);
    expect(of('needle')[0]!.path).toBe('needle.bore');
  });

  it('counts viscosity and temperature', () => {
    expect(of('lot')[0]!.relative).toBeCloseTo(0.18 / 2.4, 5);
    // d ln η/dT = −E/(R·T²): 60e3/(8.314463·296.15²) = 0.08228 per kelvin, and ±2 K is two standard deviations
    expect(of('temperature')[0]!.relative).toBeCloseTo(60e3 / (8.31446261815324 * 296.15 ** 2), 5);
  });

  it('adds the causes as squares', () => {
    const model = spreadModel(exampleRecipe()).result!;
    const squares = model.terms(SETTING).reduce((sum, term) => sum + term.relative ** 2, 0);
    expect(model.relative(SETTING)).toBeCloseTo(Math.sqrt(squares), 12);
  });

  it('counts the model’s own bound and the drift of an air valve, and nothing of ideal air', () => {
    expect(of('air transient')).toEqual([]);
    const air = { 'station.air': { model: 'iso6358', conductance: 3e-9, critical_ratio: 0.3 } };
    for (const cause of ['air transient', 'emptying syringe'] as const) {
      expect(of(cause, air)).toHaveLength(1);
      expect(of(cause, air)[0]!.relative).toBeGreaterThan(0);
    }
  });

  it('moves what is written once together, wherever it stands', () => {
    const twice = exampleRecipe({ 'needle.gauge': null, 'needle.outside': 1e-3 });
    const diameter = {
      value: 0.41e-3,
      path: 'needle.sections[0].diameter',
      source: 'a.yaml#needle.sections[0].diameter',
    };
    const tolerance = { halfWidth: 0.01e-3, distribution: 'uniform', coverage: 2, per: 'needle' } as const;
    const length = { value: 6e-3, path: 'needle.sections[0].length', source: 'a.yaml#needle.sections[0].length' };
    const section = { part: 'tip', front: { ...diameter, tolerance }, rear: { ...diameter, tolerance }, length };
    const needle = {
      wall: 'regular',
      ends: 'none',
      outside: twice.needle!.outside!,
      sections: [{ ...section, path: 'x' }],
    } as const;
    const list = spreadModel({ ...twice, needle })
      .result!.terms(SETTING)
      .filter(t => t.cause === 'needle');
    expect(list).toHaveLength(1);
    expect(list[0]!.relative / (4 * (0.01 / 0.41 / Math.sqrt(3)))).toBeCloseTo(1, 5);
  });

  it('moves a YAML alias together with what it stands for, as `spread` does', async () => {
    const text = (second: string) => `recipe: 1
needle:
  ends: none
  outside: 1 mm
  sections:
    - {diameter: &tip 0.41 ± 0.01 mm, length: 6 mm}
    - {diameter: ${second}, length: 6 mm}
resin: {density: 1.15 g/mL, rheology: {model: newtonian, viscosity: 2.4 Pa.s}, reference_temperature: 25 degC}
`;
    const needle = async (second: string) => {
      const { recipe } = await parseRecipe(text(second), 'a.yaml', memoryFiles({}));
      return spreadModel(recipe!)
        .result!.terms(SETTING)
        .filter(t => t.cause === 'needle')
        .map(t => t.relative);
    };
    // V ∝ 1/Σ(L/d⁴), u = 0.01/√3 mm: together 4·u/d; apart each moves half of the resistance, so 2·u/d each.
    const u = 0.01 / 0.41 / Math.sqrt(3);
    const [together, ...none] = await needle('*tip');
    expect(none).toEqual([]);
    expect(together! / (4 * u)).toBeCloseTo(1, 5);
    const apart = await needle('0.41 ± 0.01 mm');
    expect(apart).toHaveLength(2);
    for (const relative of apart) expect(relative / (2 * u)).toBeCloseTo(1, 5);
  });
});
