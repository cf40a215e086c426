import { describe, expect, test } from 'vitest';
import { relaxationFindings, resinDot } from '../../../src/analysis/dot/dot.ts';
import { readDot } from '../../../src/analysis/dot/read-dot.ts';
import { dropFromVolume } from '../../../src/physics/drop/drop.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const degree = Math.PI / 180;
const amber = { density: 1150, surfaceTension: 42e-3 };
const dotOf = (dot: unknown) => resinDot(exampleRecipe({ 'resin.dot': dot }));

/** Weighed dots as the drop model makes them: mass of all shots on one circle, diameter stretched by size. */
const weighed = (microlitres: number[], angle: number, stretch = 0) =>
  microlitres.map(v => {
    const { seenDiameter } = dropFromVolume({ ...amber, volume: v * 1e-9, contactAngle: angle * degree });
    const diameter = seenDiameter * (seenDiameter / 3e-3) ** stretch;
    return { mass: v * 1e-9 * amber.density, shots: 5, diameter };
  });

describe('resinDot', () => {
  test('takes a given angle, and its tolerance as standard uncertainty', () => {
    const plain = dotOf({ contact_angle: 32 * degree });
    expect(plain.findings).toEqual([]);
    expect(plain.result).toMatchObject({ contactAngle: 32 * degree, standardUncertainty: null, basis: 'given' });
    const normal = dotOf({ contact_angle: { value: 32 * degree, halfWidth: 2 * degree, distribution: 'normal' } });
    expect(normal.result?.standardUncertainty).toBeCloseTo(1 * degree, 12); // coverage 2
    const uniform = dotOf({ contact_angle: { value: 32 * degree, halfWidth: 3 * degree, distribution: 'uniform' } });
    expect(uniform.result?.standardUncertainty).toBeCloseTo(Math.sqrt(3) * degree, 12); // 3/√3
  });

  test('fits the angle to weighed dots: the mass is that of all shots together', () => {
    const { result, findings } = dotOf({ calibration: weighed([2, 5, 10], 35) });
    expect(findings).toEqual([]);
    expect(result?.basis).toBe('calibration');
    expect((result?.contactAngle ?? 0) / degree).toBeCloseTo(35, 5);
    expect(result?.calibration?.residuals).toHaveLength(3);
  });

  test('gives the keys of a dot in mm and per cent', () => {
    // 1 µL at 30° of a resin of 45 mN/m and 1160 kg/m³: radius 1.33361 mm, height 0.34633 mm, cap radius 1.32389 mm
    const recipe = exampleRecipe({
      'resin.density': 1160,
      'resin.surface_tension': 45e-3,
      'resin.dot.contact_angle': 30 * degree,
    });
    const keys = resinDot(recipe).result?.keys(1e-9);
    expect(keys?.dot_diameter_mm).toBeCloseTo(2 * 1.33361, 4);
    expect(keys?.dot_contact_diameter_mm).toBeCloseTo(2 * 1.33361, 4);
    expect(keys?.dot_height_mm).toBeCloseTo(0.34633, 5);
    expect(keys?.dot_cap_error_pct).toBeCloseTo((1.32389 / 1.33361 - 1) * 100, 3);
  });

  test('knows what a misreading costs and how many shots tell the tolerance', () => {
    const recipe = exampleRecipe({ 'resin.dot': { contact_angle: 32 * degree } });
    const dot = readDot(recipe, resinDot(recipe).result!, null);
    const one = dot?.misreading(2.1e-9) ?? 0;
    expect(one).toBeGreaterThan(0.05); // about three times 0.1 mm over 3.4 mm
    const shots = dot?.shotsFor({ shotVolume: 2.1e-9, tolerance: 0.1 }) ?? 0;
    expect(dot?.misreading(shots * 2.1e-9)).toBeLessThanOrEqual(0.05);
    expect(dot?.misreading((shots - 1) * 2.1e-9)).toBeGreaterThan(0.05);
  });

  test('block-missing: everything the dot needs, at once', () => {
    const bare = exampleRecipe({ 'resin.density': null, 'resin.surface_tension': null, 'resin.dot': null });
    const { result, findings } = resinDot(bare);
    expect(result).toBeNull();
    expect(findings.map(f => f.path)).toEqual(['resin.density', 'resin.surface_tension', 'resin.dot.contact_angle']);
  });

  test('contact-angle-out-of-range', () => {
    for (const angle of [4, 176]) {
      const { result, findings } = dotOf({ contact_angle: angle * degree });
      expect(result).toBeNull();
      expect(findings).toMatchObject([{ code: 'contact-angle-out-of-range', severity: 'error' }]);
    }
    expect(dotOf({ contact_angle: 175 * degree }).findings).toEqual([]);
  });

  test('dot-calibration-at-limit: masses and diameters that are no drops', () => {
    const { result, findings } = dotOf({ calibration: [{ mass: 1e-6, shots: 1, diameter: 80e-3 }] });
    expect(result).toBeNull();
    expect(findings).toMatchObject([{ code: 'dot-calibration-at-limit', severity: 'error' }]);
  });

  test('dot-calibration-pattern: diameters that grow faster than the model’s', () => {
    const { result, findings } = dotOf({ calibration: weighed([1, 2, 4, 8, 16], 32, 0.04) });
    expect(result).not.toBeNull();
    expect(findings).toMatchObject([{ code: 'dot-calibration-pattern', severity: 'warning' }]);
    expect(findings[0]?.message).toContain('wider');
    const shrinking = dotOf({ calibration: weighed([1, 2, 4, 8, 16], 32, -0.04) });
    expect(shrinking.findings[0]?.message).toContain('narrower');
  });
});

describe('dot-does-not-relax', () => {
  const dot = dotOf({ contact_angle: 32 * degree }).result;
  if (dot === null) throw new Error('no dot');
  const driving = dot.drop(2e-9).drivingPressure;

  test('warns above the driving pressure only', () => {
    expect(relaxationFindings({ dot, volume: 2e-9, yieldStress: driving * 0.999 })).toEqual([]);
    const found = relaxationFindings({ dot, volume: 2e-9, yieldStress: driving * 1.001 });
    expect(found).toMatchObject([{ code: 'dot-does-not-relax', severity: 'warning' }]);
    expect(relaxationFindings({ dot, volume: 2e-9, yieldStress: 0 })).toEqual([]);
  });

  test('not with calibration pairs, which stand for the dots as they are', () => {
    const calibrated = dotOf({ calibration: weighed([2, 5], 35) }).result;
    if (calibrated === null) throw new Error('no dot');
    expect(relaxationFindings({ dot: calibrated, volume: 2e-9, yieldStress: 1e4 })).toEqual([]);
  });
});
