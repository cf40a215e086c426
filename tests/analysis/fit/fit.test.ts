import { describe, expect, test } from 'vitest';
import { fit as calibrate, type FitRow } from '../../../src/analysis/fit/fit.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const density = 1150;
const viscosity = 2.4;
const bore = 0.41e-3;
const length = 12.7e-3;
const friction = 3e3;

/** A recipe whose shot is Hagen–Poiseuille by hand: no ends, no ageing, reference temperature, ideal air. */
const recipe = exampleRecipe({
  'needle.bore': bore,
  'needle.ends': 'none',
  'resin.cure': { model: 'none' },
  'process.temperature': 298.15,
});

/** One shot [m³] by hand. */
function shotVolume(p: { pressure: number; dwell: number; factor: number; offset: number; dead: number }): number {
  const flow = (Math.PI * (p.pressure - p.offset - friction) * bore ** 4) / (128 * viscosity * length);
  return (flow * (p.dwell - p.dead)) / p.factor;
}

const truth = { factor: 1.12, offset: 4e3, dead: 0.03 };
const grid = [100e3, 150e3, 200e3, 300e3].flatMap(pressure => [0.3, 0.6, 1.2].map(dwell => ({ pressure, dwell })));
const row = (
  setting: { pressure: number; dwell: number },
  mass: number | null,
  more: Partial<FitRow> = {},
): FitRow => ({
  ...setting,
  age: null,
  temperature: null,
  shots: 5,
  mass,
  diameter: null,
  line: 2,
  ...more,
});
const exact = (settings = grid): FitRow[] =>
  settings.map((s, i) => row(s, 5 * density * shotVolume({ ...s, ...truth }), { line: i + 2 }));
const codes = (findings: readonly { code: string }[]): string[] => findings.map(f => f.code);

describe('calibration', () => {
  test('masses made by hand give their factor, offset and dead time back', () => {
    const { result, findings } = calibrate(recipe, exact());
    expect(findings).toEqual([]);
    const [factor, offset, dead] = result!.parameters;
    expect(factor!.estimate).toBeCloseTo(1.12, 8);
    expect(offset!.estimate).toBeCloseTo(4, 6); // kPa
    expect(dead!.estimate).toBeCloseTo(0.03, 8);
    expect(result!.parameters.map(p => p.name)).toEqual(['viscosity_factor', 'pressure_offset_kPa', 'dead_time_s']);
    expect(result!.models[0]!.name).toBe('viscosity_factor + pressure_offset + dead_time');
    expect(result!.residuals[0]!.residual_pct).toBeCloseTo(0, 6);
    expect(result!.lack_of_fit_p).toBeNull();
  });

  test('with the factor alone the fit is the geometric mean of the ratios, by hand', () => {
    // Ratios e^(±0.02) and 1: mean logarithm 0, s = 0.02·√(4/5) with six rows; standard error of the factor f·s/√6.
    const noise = [0.02, -0.02, 0.02, -0.02, 0, 0];
    const rows = noise.map((e, i) => {
      const s = grid[i]!;
      return row(s, 5 * density * shotVolume({ ...s, factor: 1.12, offset: 0, dead: 0 }) * Math.exp(e), {
        line: i + 2,
      });
    });
    const { result } = calibrate(recipe, rows, { fixed: { pressure_offset: 0, dead_time: 0 } });
    const factor = result!.parameters[0]!;
    const sd = 0.02 * Math.sqrt(4 / 5);
    expect(factor.estimate).toBeCloseTo(1.12, 9);
    expect(result!.residual_sd).toBeCloseTo(sd, 9);
    expect(factor.standard_error).toBeCloseTo((1.12 * sd) / Math.sqrt(6), 8);
    // residuals are logarithms, so that the profile of the factor is exact in its logarithm: ± t(0.975, 5)·s/√6
    const half = (2.570582 * sd) / Math.sqrt(6);
    expect(Math.log(factor.high! / factor.estimate) / half).toBeCloseTo(1, 3);
    expect(Math.log(factor.low! / factor.estimate) / -half).toBeCloseTo(1, 3);
    expect(result!.parameters[1]).toMatchObject({ estimate: 0, fixed: true, low: null, standard_error: null });
  });

  test('95 % intervals hold the truth about 95 times in a hundred', () => {
    const source = randomSource(12);
    let held = 0;
    const runs = 100;
    for (let k = 0; k < runs; k++) {
      const rows = exact().map(r => ({ ...r, mass: r.mass! * Math.exp(0.02 * source.normal()) }));
      const p = calibrate(recipe, rows).result!.parameters;
      for (const [i, value] of [1.12, 4, 0.03].entries()) if (p[i]!.low! <= value && value <= p[i]!.high!) held++;
    }
    // 300 correlated trials of 95 %: standard error below 2.2 %.
    expect(held / (3 * runs)).toBeGreaterThan(0.88);
    expect(held / (3 * runs)).toBeLessThan(0.995);
  });

  test('dots give the same calibration as masses', () => {
    // A cap of 32° under no gravity: V = (π d³/48) t (3 + t²); gravity is kept away by small dots and a high surface tension.
    const light = exampleRecipe({
      'needle.bore': bore,
      'needle.ends': 'none',
      'resin.cure': { model: 'none' },
      'process.temperature': 298.15,
      'resin.surface_tension': 4200,
    });
    const t = Math.tan((16 * Math.PI) / 180);
    const rows = grid.map(s => {
      const volume = 2 * shotVolume({ ...s, ...truth });
      return row(s, null, { shots: 2, diameter: Math.cbrt((48 * volume) / (Math.PI * t * (3 + t * t))) });
    });
    const { result } = calibrate(light, rows);
    expect(result!.parameters[0]!.estimate).toBeCloseTo(1.12, 3); // what little gravity is left
    expect(result!.parameters[1]!.estimate).toBeCloseTo(4, 1);
    expect(result!.parameters[2]!.estimate).toBeCloseTo(0.03, 4);
  });

  test('a declared reading error gives heavy shots their weight', () => {
    // All but the lightest row are exact; declared 0.5 mg each, the light one counts for little.
    const rows = exact();
    rows[0] = { ...rows[0]!, mass: rows[0]!.mass! + 0.5e-6 };
    const away = (options: Parameters<typeof calibrate>[2]): number =>
      Math.abs(calibrate(recipe, rows, options).result!.parameters[2]!.estimate - 0.03);
    expect(calibrate(recipe, rows, { massError: 0.5e-6 }).result!.weights).toBe('reading error');
    expect(away({ massError: 0.5e-6 })).toBeLessThan(away({}));
  });
});

describe('what the data cannot tell', () => {
  test('one pressure or one dwell keeps its parameter, and says so', () => {
    const one = grid.filter(s => s.pressure === 200e3);
    const { result, findings } = calibrate(recipe, exact(one));
    expect(codes(findings)).toContain('fit-unresolved');
    expect(result!.parameters[1]!.fixed).toBe(true);
    expect(result!.parameters[2]!.fixed).toBe(false);
  });

  test('a narrow spread of pressures leaves offset and factor open', () => {
    const source = randomSource(4);
    const near = [200e3, 201e3, 202e3, 203e3].flatMap(pressure => [0.6, 1.2].map(dwell => ({ pressure, dwell })));
    const rows = exact(near).map(r => ({ ...r, mass: r.mass! * Math.exp(0.03 * source.normal()) }));
    const { findings } = calibrate(recipe, rows);
    expect(findings.filter(f => f.code === 'fit-unresolved').map(f => f.message.split(' ')[0])).toContain(
      'pressure_offset_kPa',
    );
  });

  test('an outlier is named and kept', () => {
    const source = randomSource(8);
    const rows = exact().map(r => ({ ...r, mass: r.mass! * Math.exp(0.01 * source.normal()) }));
    rows[4] = { ...rows[4]!, mass: rows[4]!.mass! * 1.3 };
    const { result, findings } = calibrate(recipe, rows);
    expect(result!.rows).toBe(12);
    expect(findings.find(f => f.code === 'fit-outlier')!.message).toContain('line 6');
    expect(result!.residuals[4]!.outlier).toBe(true);
  });

  test('replicates show a lack of fit', () => {
    // Replicates repeat to 0.1 %, but the volume grows with the square of the pressure.
    const rows = grid.flatMap((s, i) =>
      [0.999, 1.001].map(e =>
        row(s, 5 * density * shotVolume({ ...s, ...truth }) * (s.pressure / 200e3) * e, { line: i + 2 }),
      ),
    );
    const { result, findings } = calibrate(recipe, rows);
    expect(result!.lack_of_fit_p).toBeLessThan(1e-3);
    expect(codes(findings)).toContain('fit-lack');
  });

  test('too few rows, a missing density, and rows that cannot flow are errors, all at once', () => {
    expect(codes(calibrate(recipe, exact().slice(0, 1), { fixed: {} }).findings)).not.toContain('fit-too-few'); // two are held
    expect(codes(calibrate(recipe, []).findings)).toContain('fit-too-few');
    const noDensity = exampleRecipe({ 'resin.density': null });
    expect(codes(calibrate(noDensity, exact()).findings)).toContain('block-missing');
    const low = [
      row({ pressure: 2e3, dwell: 1 }, 1e-6, { line: 7 }),
      row({ pressure: 1e3, dwell: 1 }, 1e-6, { line: 9 }),
    ];
    const impossible = calibrate(recipe, low);
    expect(impossible.result).toBeNull();
    expect(impossible.findings.map(f => f.message.slice(0, 7))).toEqual(['line 7:', 'line 9:']);
  });
});
