import { describe, expect, test } from 'vitest';
import { holdBack } from '../../../src/analysis/delivery/hold-back.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const mm = 1e-3;
/**
 * By hand: needle 0.4 mm × 20 mm, barrel of 100 mm² with 5 mL (50 mm) full and 0.5 mL (5 mm) left over;
 * 1000 kg/m³ and 40 mN/m: head 9.80665·(70 or 25) = 686.4655 or 245.16625 Pa, meniscus 4·0.04/0.0004 = 400 Pa; cos 60° = ½.
 */
const barrel = Math.sqrt((4 * 100) / Math.PI) * mm;
const recipe = (overrides: Record<string, unknown> = {}) =>
  exampleRecipe({
    needle: { bore: 0.4 * mm, length: 20 * mm },
    'resin.density': 1000,
    'resin.surface_tension': 0.04,
    'station.syringe': { inside_diameter: barrel, fill: 5e-6, left_over: 0.5e-6, plunger_friction: 0 },
    ...overrides,
  });
const contactAngle = Math.PI / 3;

describe('the hold-back window of a syringe', () => {
  test('full and nearly empty, and the settings that serve both', () => {
    const { result, findings } = holdBack(recipe(), { contactAngle });
    expect(findings).toEqual([]);
    expect(result?.full.min_kPa).toBeCloseTo(0.2864655, 9);
    expect(result?.full.max_kPa).toBeCloseTo(0.8864655, 9);
    expect(result?.empty.min_kPa).toBe(0);
    expect(result?.empty.max_kPa).toBeCloseTo(0.44516625, 9);
    expect(result?.common).toBe(true);
    expect(result?.common_range?.min_kPa).toBeCloseTo(0.2864655, 9);
    expect(result?.common_range?.max_kPa).toBeCloseTo(0.44516625, 9);
  });

  test('the needle’s own contact angle goes before the dot’s', () => {
    const { result } = holdBack(recipe({ 'needle.contact_angle': Math.PI / 2 }), { contactAngle });
    expect(result?.empty.max_kPa).toBeCloseTo(0.24516625, 9); // cos 90° = 0
  });

  test('friction and yield stress widen it each way: 50 + 4·0.2·0.02/0.0004 = 90 Pa', () => {
    const { result } = holdBack(
      recipe({
        'station.syringe.plunger_friction': 50,
        'resin.rheology': { model: 'bingham', yield_stress: 0.2, viscosity: 2 },
      }),
      { contactAngle },
    );
    expect(result?.full.min_kPa).toBeCloseTo(0.1964655, 9);
    expect(result?.full.max_kPa).toBeCloseTo(0.9764655, 9);
  });

  test('that is safe whatever the plunger keeps is narrower by 50 Pa each way, and stands beside it', () => {
    const { result } = holdBack(recipe({ 'station.syringe.plunger_friction': 50 }), { contactAngle });
    expect(result?.friction_kPa).toBe(0.05);
    expect(result?.safe.full?.min_kPa).toBeCloseTo(0.3364655, 9);
    expect(result?.safe.full?.max_kPa).toBeCloseTo(0.8364655, 9);
    expect(result?.safe.empty?.min_kPa).toBe(0); // 245 − 400 + 50 Pa
    expect(result?.safe.empty?.max_kPa).toBeCloseTo(0.39516625, 9);
    expect(result?.safe.common_range?.min_kPa).toBeCloseTo(0.3364655, 9);
    expect(result?.safe.common_range?.max_kPa).toBeCloseTo(0.39516625, 9);
  });

  test('is safe nowhere where the plunger keeps 3 kPa, and does not say so where it cannot stick', () => {
    const stuck = holdBack(recipe({ 'station.syringe.plunger_friction': 3000 }), { contactAngle }).result;
    expect(stuck?.safe).toEqual({ full: null, empty: null, common_range: null });
    const free = holdBack(recipe(), { contactAngle }).result;
    expect(free?.safe.common_range).toEqual(free?.common_range);
  });

  test('hold-back-two-settings: a wide needle holds the full syringe only where the empty one draws air', () => {
    // 2 mm bore: meniscus 80 Pa: full from 606 Pa, empty up to 285 Pa
    const { result, findings } = holdBack(recipe({ 'needle.bore': 2 * mm }), { contactAngle });
    expect(result?.common).toBe(false);
    expect(result?.common_range).toBeNull();
    expect(findings).toMatchObject([{ code: 'hold-back-two-settings', severity: 'warning' }]);
  });

  test('hold-back-none: a needle that is not wetted, nearly empty', () => {
    // 245 − 400 Pa at 180°: even no vacuum draws the meniscus in
    const { findings } = holdBack(recipe(), { contactAngle: Math.PI });
    expect(findings.map(f => f.code)).toContain('hold-back-none');
    expect(findings[0]?.message).toContain('empty');
  });

  test('hold-back-beyond-station: the full syringe needs 286 Pa, the station has 200 Pa', () => {
    const { findings } = holdBack(recipe({ 'station.hold_back.max': 200 }), { contactAngle });
    expect(findings).toMatchObject([{ code: 'hold-back-beyond-station', path: 'station.hold_back.max' }]);
  });

  test('says everything that is missing', () => {
    const { result, findings } = holdBack(recipe({ 'station.syringe': null, 'resin.density': null }), {
      contactAngle: null,
    });
    expect(result).toBeNull();
    expect(findings.map(f => f.path)).toEqual([
      'resin.density',
      'needle.contact_angle',
      'station.syringe.inside_diameter',
    ]);
  });
});
