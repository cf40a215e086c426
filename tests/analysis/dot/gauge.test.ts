import { describe, expect, test } from 'vitest';
import { cavity } from '../../../src/analysis/cavity/cavity.ts';
import { type GaugeOptions, gauge } from '../../../src/analysis/dot/gauge.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const G = 9.80665; // standard gravity, CGPM 1901 [m/s²]
const backfill = cavity(exampleRecipe()).result!;

function gaugeOf(overrides: Record<string, unknown> = {}, options: GaugeOptions = {}) {
  const { result, findings } = gauge(exampleRecipe(overrides), options);
  return { result, codes: findings.map(f => f.code), findings };
}

/** Without weight a drop is a cap: V = (π d³/48) t (3 + t²), t = tan(θ/2). */
const capDiameter = (volume: number, angle: number) => {
  const t = Math.tan(angle / 2);
  return Math.cbrt((48 * volume) / (Math.PI * t * (3 + t * t)));
};
/** A surface tension at which the drops of this recipe weigh nothing: Bond number below 1e-6. */
const WEIGHTLESS = { 'resin.surface_tension': 1e5 };

describe('rings', () => {
  test('are the least, wanted and greatest backfill times the shots, with mass by density', () => {
    const { result } = gaugeOf({}, { shots: 3 });
    const volumes = [backfill.backfill_min_uL!, backfill.backfill_aim_uL!, backfill.backfill_max_uL!];
    expect(result!.rings.map(r => r.name)).toEqual(['min', 'aim', 'max']);
    for (const [i, ring] of result!.rings.entries()) {
      expect(ring.volume_uL).toBeCloseTo(3 * volumes[i]!, 10);
      expect(ring.mass_mg).toBeCloseTo(3 * volumes[i]! * 1.15, 10); // 1.15 g/mL is 1.15 mg/µL
    }
    expect(result!.shot.volume_uL).toBeCloseTo(volumes[1]!, 10);
  });

  test('part ok from ok, trim by the tolerance, and never beyond the window', () => {
    const angle = (32 * Math.PI) / 180;
    const aim = 2e-9 * backfill.backfill_aim_uL!; // two shots [m³]
    const across = (tolerance: number) =>
      gaugeOf({ ...WEIGHTLESS, 'process.tolerance': tolerance }, { shots: 2 }).result!;
    const [low, high] = across(0.08).ok_mm;
    expect(low / (capDiameter(0.92 * aim, angle) * 1e3)).toBeCloseTo(1, 6);
    expect(high / (capDiameter(1.08 * aim, angle) * 1e3)).toBeCloseTo(1, 6);
    const wide = across(0.95);
    expect(wide.ok_mm).toEqual([wide.rings[0]!.diameter_mm, wide.rings[2]!.diameter_mm]);
  });

  test('are caps where weight does not matter', () => {
    const { result } = gaugeOf(WEIGHTLESS, { shots: 2 });
    const angle = (32 * Math.PI) / 180;
    for (const ring of result!.rings) {
      const expected = capDiameter(ring.volume_uL * 1e-9, angle) * 1e3;
      expect(ring.diameter_mm / expected).toBeCloseTo(1, 6); // the weight left is of the order of the Bond number
    }
  });

  // Rows of an independent solution of the Young–Laplace equation (DOP853 at 1e-13): contact radius and volume in units
  // of the apex radius b, at β = ρgb²/γ. The surface tension is chosen so that the aim is just that drop.
  test.each([
    { beta: 0.5, phi: 30, x: 0.49216959076461575, v: 0.051070621154786215 },
    { beta: 1, phi: 45, x: 0.665792236177426, v: 0.19758360471010833 },
  ])('are the drop under its own weight: β = $beta, θ = $phi°', ({ beta, phi, x, v }) => {
    const volume = backfill.backfill_aim_uL! * 1e-9;
    const b = Math.cbrt(volume / v);
    const { result } = gaugeOf(
      {
        'resin.surface_tension': (1150 * G * b * b) / beta,
        'resin.dot.contact_angle': (phi * Math.PI) / 180,
        'resin.dot.read_after': null, // at rest
      },
      { shots: 1 },
    );
    expect(result!.rings[1]!.diameter_mm / (2 * x * b * 1e3)).toBeCloseTo(1, 5); // required agreement of drops: 1e-5
  });

  test('show the widest part of a drop that overhangs', () => {
    const angle = (120 * Math.PI) / 180;
    const { result } = gaugeOf({ ...WEIGHTLESS, 'resin.dot.contact_angle': angle }, { shots: 1 });
    const contact = capDiameter(result!.rings[1]!.volume_uL * 1e-9, angle) * 1e3;
    expect(result!.rings[1]!.diameter_mm / (contact / Math.sin(angle))).toBeCloseTo(1, 6); // the sphere's own diameter
  });
});

describe('shots on one circle', () => {
  test.each([0.1, 0.05, 0.2])('are the least for which a misreading is at most half of %f', tolerance => {
    // cap: ((d + e)/d)³ − 1 ≤ tolerance/2, d grows with the cube root of the shots
    const one = capDiameter(backfill.backfill_aim_uL! * 1e-9, (32 * Math.PI) / 180);
    const expected = Math.ceil((1e-4 / (Math.cbrt(1 + tolerance / 2) - 1) / one) ** 3);
    const { result, codes } = gaugeOf({ ...WEIGHTLESS, 'process.tolerance': tolerance });
    expect(result!.shots_per_circle).toBe(expected);
    expect(result!.reading_error_pct).toBeLessThanOrEqual(50 * tolerance);
    expect(codes).not.toContain('gauge-reading-coarse');
  });

  test('fewer than that, asked for, are drawn with a warning', () => {
    const { result, codes } = gaugeOf({ 'process.tolerance': 0.05 }, { shots: 1 });
    expect(result!.shots_per_circle).toBe(1);
    expect(result!.reading_error_pct).toBeGreaterThan(2.5);
    expect(codes).toContain('gauge-reading-coarse');
  });

  test('a finer reading needs fewer', () => {
    const fine = gaugeOf({ 'resin.dot.reading_error': 2e-5, 'process.tolerance': 0.05 }).result!;
    expect(fine.shots_per_circle).toBe(1);
    expect(fine.reading_error_mm).toBeCloseTo(0.02, 12);
  });

  test('never exceed what the paper holds; the coarse reading is then a finding', () => {
    const { result, codes } = gaugeOf({ 'process.tolerance': 0.002 });
    expect(codes).toContain('gauge-reading-coarse');
    expect(result!.circles).toBe(1);
    expect(result!.rings[2]!.diameter_mm).toBeLessThan(120);
    const more = gaugeOf({ 'process.tolerance': 0.002 }, { shots: result!.shots_per_circle + 1 });
    expect(more.result).toBeNull();
    expect(more.codes).toContain('gauge-too-large');
  });

  test('come from the narrower half of the window where the recipe has no tolerance, and the result says so', () => {
    const { result } = gaugeOf({ 'process.tolerance': null });
    const { backfill_min_uL: min, backfill_aim_uL: aim, backfill_max_uL: max } = backfill;
    expect(result!.tolerance_pct).toBeCloseTo((100 * Math.min(aim! - min!, max! - aim!)) / aim!, 9);
    expect(result!.defaults).toContain('process.tolerance: the narrower half of the window');
  });
});

describe('a resin with a yield stress above the pressure that drives the dot', () => {
  const stiff = {
    'resin.rheology': { model: 'herschel-bulkley', yield_stress: 400, K: 14, n: 0.62 },
  };

  test('has no gauge without calibration pairs', () => {
    const { result, findings } = gaugeOf(stiff);
    expect(result).toBeNull();
    const found = findings.find(f => f.code === 'gauge-uncalibrated')!;
    expect(found).toMatchObject({ severity: 'error', path: 'resin.rheology.yield_stress' });
    expect(found.message).toContain('400 Pa');
  });

  test('has one with them', () => {
    const pairs = [
      { mass: 12.1e-6, shots: 5, diameter: 4.6e-3 },
      { mass: 24.3e-6, shots: 10, diameter: 5.8e-3 },
      { mass: 6.1e-6, shots: 2, diameter: 3.65e-3 },
    ];
    const { result } = gaugeOf({ ...stiff, 'resin.dot.calibration': pairs, 'resin.dot.contact_angle': null });
    expect(result!.calibration_dots).toBe(3);
    expect(result!.contact_angle_uncertainty_deg).toBeGreaterThan(0);
  });

  test('a small yield stress is no obstacle', () => {
    const soft = { 'resin.rheology': { model: 'bingham', yield_stress: 2, viscosity: 2.2 } };
    expect(gaugeOf(soft).result).not.toBeNull();
  });
});

describe('what cannot be drawn', () => {
  test('options out of range are all reported at once', () => {
    const { result, findings } = gaugeOf({}, { shots: 0, circles: 2.5, scaleX: 0.5, scaleY: Number.NaN });
    expect(result).toBeNull();
    expect(findings.filter(f => f.code === 'gauge-option').map(f => f.message)).toEqual([
      'shots is 0, must be a whole number of at least 1',
      'circles is 2.5, must be a whole number from 1 to 1000',
      'scale-x is 0.5, must be from 0.9 to 1.1',
      'scale-y is NaN, must be from 0.9 to 1.1',
    ]);
  });

  test.each([
    ['connector.reach', 'connector.reach'],
    ['connector.cable', 'connector.cable'],
    ['needle', 'needle'],
    ['resin.density', 'resin.density'],
    ['resin.dot', 'resin.dot.contact_angle'],
  ])('a recipe without %s says what is missing', (removed, path) => {
    const { result, findings } = gaugeOf({ [removed]: null });
    expect(result).toBeNull();
    expect(findings.filter(f => f.code === 'block-missing').map(f => f.path)).toContain(path);
  });

  test('rings that an eye cannot hold apart are a warning', () => {
    const { result, codes } = gaugeOf({ 'connector.reach': { min: 10e-3, max: 10.2e-3 } }, { shots: 1 });
    expect(result).not.toBeNull();
    expect(codes).toContain('gauge-rings-close');
  });
});

test('the circles fill one page by default, fewer of them when they are large', () => {
  expect(gaugeOf({}, { paper: 'a4' }).result!.circles).toBe(20);
  expect(gaugeOf({}, { paper: 'letter' }).result!.circles).toBe(15);
  expect(gaugeOf({}, { shots: 400 }).result!.circles).toBeLessThan(10);
});
