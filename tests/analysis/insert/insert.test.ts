import { describe, expect, it } from 'vitest';
import { insert } from '../../../src/analysis/insert/insert.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const done = (overrides: Record<string, unknown> = {}, options = {}) => insert(exampleRecipe(overrides), options);
const codes = (outcome: ReturnType<typeof insert>) => outcome.findings.map(({ code }) => code);

describe('putting the fibre in', () => {
  it('follows the closed forms, by hand, at mixing', () => {
    const { result } = done({ 'resin.cure': null, 'process.temperature': 298.15 }, { age: 0 });
    // Fibre 125 µm in 126 µm over 5.5 mm of bore; over the cone of the lead-in a plain sum.
    let length = 5.5e-3 / Math.log(126 / 125);
    const steps = 100_000;
    const rear = 126e-6 + (0.9e-3 - 126e-6) * ((result!.wetted_mm / 1e3 - 5.5e-3) / 0.6e-3);
    const cone = result!.wetted_mm / 1e3 - 5.5e-3;
    for (let i = 0; i < steps; i++) {
      length += cone / steps / Math.log((126e-6 + ((rear - 126e-6) * (i + 0.5)) / steps) / 125e-6);
    }
    const drag = 2 * Math.PI * result!.viscosity_Pa_s * 1e-3 * length;
    expect(result!.drag_N_per_mm_s / drag).toBeCloseTo(1, 5);
    expect(result!.buckling_N).toBeCloseTo(
      (Math.PI ** 3 * 72e9 * 125e-6 ** 4) / (64 * (result!.free_fibre_mm / 1e3) ** 2),
      6,
    );
    expect(result!.greatest_speed_mm_s.centred).toBeCloseTo(result!.buckling_N / drag, 4);
    // Off the axis by 0.9 of a narrow gap the film gives 1/√(1 − 0.81) = 2.294 times the drag in the bore.
    const ratio = result!.drag_eccentric_N_per_mm_s / result!.drag_N_per_mm_s;
    expect(ratio).toBeGreaterThan(2.2);
    expect(ratio).toBeLessThan(2.2942);
  });

  it('is slower at the last shot, by as much as the resin has thickened', () => {
    const { result } = done();
    expect(result!.last).not.toBeNull();
    const thicker = result!.last!.viscosity_Pa_s / result!.viscosity_Pa_s;
    expect(thicker).toBeGreaterThan(1.5);
    const slower = result!.greatest_speed_mm_s.centred / result!.last!.greatest_speed_mm_s.centred;
    expect(slower).toBeCloseTo(thicker, 9);
  });

  it('takes the viscosity of a shear-thinning resin at the shear of its own speed', () => {
    const { result } = done(
      { 'resin.rheology': { model: 'power-law', K: 9.5, n: 0.5 }, 'resin.cure': null, 'process.temperature': 298.15 },
      { age: 0 },
    );
    // F = K·(v/gap)^n·gap·(drag length) grows with the square root of the speed: four times the speed for twice the load.
    const { drag_N_per_mm_s: at1, greatest_speed_mm_s, buckling_N } = result!;
    expect(greatest_speed_mm_s.centred).toBeCloseTo((buckling_N / at1) ** 2, 3);
  });

  it('does not move where the yield stress alone buckles the fibre', () => {
    const { result, findings } = done({
      'resin.rheology': { model: 'bingham', yield_stress: 1e6, viscosity: 2 },
      'settings.pressure': null,
    });
    expect(result!.greatest_speed_mm_s.centred).toBe(0);
    expect(findings.map(({ code }) => code)).toContain('insert-slow');
  });

  it('says what keeps it from an answer', () => {
    expect(codes(done({ 'connector.cable': null }))).toEqual(['block-missing']);
    const tight = done({ 'connector.cavity.0.diameter': 125e-6 });
    expect(tight.result).toBeNull();
    expect(codes(tight)).toEqual(['insert-no-gap']);
    expect(codes(done({ 'connector.protrusion': 0.05 }))).toEqual(['insert-no-gap']);
  });

  it('gives no drag past 90 % of the gel age', () => {
    const cure = {
      model: 'castro-macosko',
      A1: 2.5e5,
      E1: 62e3,
      A2: 0,
      E2: 0,
      m: 1,
      n: 1,
      gel_conversion: 0.55,
      c1: 1.5,
      c2: 1,
    };
    const late = done({ 'resin.cure': cure }, { age: 1e7 });
    expect(late.result).toBeNull();
    expect(codes(late)).toEqual(['insert-too-late']);
  });

  it('takes what the recipe has as the free fibre: a quarter of the load at twice the length', () => {
    const usual = done().result!;
    const long = done({ 'connector.free_fibre': (2 * usual.free_fibre_mm) / 1e3 }).result!;
    expect(long.free_fibre_mm).toBeCloseTo(13.2, 9);
    expect(long.buckling_N / usual.buckling_N).toBeCloseTo(1 / 4, 12);
    expect(long.drag_N_per_mm_s).toBe(usual.drag_N_per_mm_s);
    const named = (defaults: readonly string[]) => defaults.some(text => text.startsWith('connector.free_fibre'));
    expect([named(usual.defaults), named(long.defaults)]).toEqual([true, false]);
  });

  it('has no last shot with an age of its own', () => {
    expect(done({}, { age: 600 }).result!.last).toBeNull();
  });
});

describe('several fibres at once', () => {
  const row = { count: 12, pitch: 0.75e-3 };
  const bores = [
    { part: 'bore', diameter: 126e-6, length: 5.5e-3 },
    { part: 'lead-in', diameter: [126e-6, 0.5e-3], length: 0.6e-3 },
  ];
  const tube = { part: 'tube', diameter: 10e-3, length: 7e-3 };
  const fibre = { part: 'fibre', diameter: 125e-6, length: 8e-3 };

  it('are as hard to push as one, each of them', () => {
    const one = done({ 'connector.cavity': [...bores, tube], 'connector.cable': [fibre] }).result!;
    const all = done({
      'connector.cavity': [...bores.map(bore => ({ ...bore, ...row })), tube],
      'connector.cable': [{ ...fibre, ...row }],
    }).result!;
    expect(all.fibres).toBe(12);
    expect(all.drag_N_per_mm_s).toBe(one.drag_N_per_mm_s);
    expect(all.greatest_speed_mm_s).toEqual(one.greatest_speed_mm_s);
  });

  it('take no cone that they share for a film around each', () => {
    const shared = done({
      'connector.cavity': [{ ...bores[0], ...row }, { ...bores[1], diameter: [9e-3, 10e-3] }, tube],
      'connector.cable': [{ ...fibre, ...row }],
    }).result!;
    expect(shared.wetted_mm).toBeCloseTo(5.5, 9);
  });

  it('are refused as a ribbon', () => {
    const ribbon = { part: 'ribbon', width: 0.3e-3, height: 0.1e-3, length: 8e-3 };
    expect(codes(done({ 'connector.cable': [ribbon] }))).toEqual(['insert-not-round']);
  });
});
