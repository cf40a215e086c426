import { describe, expect, it } from 'vitest';
import { batch } from '../../../src/analysis/batch/batch.ts';
import { mix } from '../../../src/analysis/mix/mix.ts';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { memoryFiles } from '../../recipe/memory-files.ts';

const R = 8.31446261815324;
const MIX = { base: 100e-3, hardener: 10e-3, tolerance: 0.05 };
const KINETICS = {
  ...{ model: 'castro-macosko', A1: 2.5e6, E1: 62e3, A2: 2.4e6, E2: 57e3, m: 0.9, n: 1.2 },
  ...{ gel_conversion: 0.55, c1: 1.5, c2: 1 },
};
const SCALE = { 'resin.mix': MIX, 'station.scale': 0.01e-3, 'station.syringe.fill': 0.5e-6 };
const HEAT = {
  'resin.cure': KINETICS,
  'resin.heat_of_reaction': 340e3,
  'resin.heat_capacity': 1800,
  'process.cup': { diameter: 0.04, wall: 10, rise: 10 },
};
const of = (overrides: Record<string, unknown>, options = {}) => mix(exampleRecipe(overrides), options);
const codes = (outcome: { findings: readonly { code: string }[] }) => outcome.findings.map(({ code }) => code);

describe('weighing a kit', () => {
  it('mixes 0.575 g at 10 to 1 19 % off on a scale of 0.01 g, by hand', () => {
    // u·√(1/0.52273² + 1/0.052273²) g with 0.575 g of which 10/11 is base: 0.01·19.22 = 19.2 %.
    const { result, findings } = of(SCALE, { mass: 0.575e-3 });
    const base = (0.575 * 10) / 11;
    const hardener = 0.575 / 11;
    expect(result!.base_g).toBeCloseTo(base, 12);
    expect(result!.hardener_g).toBeCloseTo(hardener, 12);
    expect(result!.ratio_error_pct).toBeCloseTo(100 * Math.hypot(0.01 / base, 0.01 / hardener), 10);
    expect(result!.ratio_error_pct).toBeCloseTo(19.2, 1);
    expect(findings.map(({ code }) => code)).toEqual(['mix-too-small']);
  });

  it('has just the tolerance left at the least mass', () => {
    const least = of(SCALE).result!.least_mass_g!;
    expect(least).toBeCloseTo((0.01 / 0.05) * Math.hypot(1.1, 11), 10);
    expect(of(SCALE, { mass: least / 1e3 }).result!.ratio_error_pct).toBeCloseTo(5, 10);
    expect(codes(of(SCALE, { mass: (least * 1.001) / 1e3 }))).toEqual([]);
  });

  it('takes volumes by their densities, and asks for them', async () => {
    const mixed = (more: string) =>
      parseRecipe(
        `recipe: 1\nresin:\n  mix: {base: 2 mL, hardener: 1 cc, tolerance: 5 %${more}}\n`,
        'x.yaml',
        memoryFiles({}),
      );
    const { recipe } = await mixed(', base_density: 1.2 g/mL, hardener_density: 1 g/mL');
    const { result } = mix(recipe!, { mass: 3.4e-3 });
    expect(result!.ratio).toBeCloseTo(2.4, 12);
    expect(result!.base_mL).toBeCloseTo(2, 12);
    expect(result!.hardener_mL).toBeCloseTo(1, 12);
    const { findings } = await mixed(', base_density: 1.2 g/mL');
    expect(findings.map(({ code, path }) => [code, path])).toEqual([['key-missing', 'resin.mix.hardener_density']]);
  });

  it('fills one syringe unless it is told otherwise, and never mixes less than the least mass', () => {
    const fill = 0.5 * 1.15; // mL, g/mL
    const unweighed = of({ ...SCALE, 'station.scale': null });
    expect(unweighed.result!.mass_g).toBeCloseTo(fill, 12);
    expect(codes(unweighed)).toEqual(['mix-by-eye']);
    const { result } = of(SCALE);
    expect(result!.mass_g).toBe(result!.least_mass_g);
  });

  it('says what keeps it from an answer', () => {
    expect(codes(of({}))).toEqual(['block-missing']);
    expect(codes(of(SCALE, { mass: 1e-12 }))).toEqual(['mix-mass-odd']);
    expect(codes(of({ 'resin.mix': MIX, 'station.syringe': null }))).toEqual(['block-missing']);
  });
});

describe('the heat of a kit', () => {
  it('warms by ΔH/c at most', () => {
    const { cup } = of({ ...SCALE, ...HEAT, 'process.cup': { diameter: 0.04, wall: 0, rise: 10 } }, { mass: 0.05 })
      .result!;
    expect(cup!.adiabatic_rise_K).toBeCloseTo(340e3 / 1800, 9);
    expect(cup!.peak_C - cup!.room_C).toBeCloseTo(340e3 / 1800, 2);
  });

  it('is that of a plain integration of the balance', () => {
    const mass = 0.02;
    const { cup } = of({ ...SCALE, ...HEAT }, { mass }).result!;
    const area = (4 * (mass / 1150)) / 0.04 + (Math.PI * 0.04 ** 2) / 2;
    const room = 296.15;
    let [alpha, T, peak, at] = [0, room, room, 0];
    const dt = 0.05;
    for (let t = 0; t < 3 * 3600; t += dt) {
      const k = (A: number, E: number) => A * Math.exp(-E / (R * T));
      const rate = (k(2.5e6, 62e3) + k(2.4e6, 57e3) * alpha ** 0.9) * Math.max(0, 1 - alpha) ** 1.2;
      T += dt * ((340e3 / 1800) * rate - (10 * area * (T - room)) / (mass * 1800));
      alpha = Math.min(1, alpha + dt * rate);
      if (T > peak) [peak, at] = [T, t + dt];
    }
    expect(cup!.peak_C).toBeCloseTo(peak - 273.15, 0);
    expect(cup!.peak_min / (at / 60)).toBeCloseTo(1, 2);
  });

  it('sets the largest mass, above which a kit warms too much before it is used', () => {
    const slow = { ...SCALE, ...HEAT, 'process.ready_after': 3000 };
    const { cup } = of(slow).result!;
    const largest = cup!.largest_mass_g! / 1e3;
    expect(of(slow, { mass: largest }).result!.cup!.rise_until_ready_K).toBeCloseTo(10, 4);
    expect(codes(of(slow, { mass: largest * 1.01 }))).toContain('mix-too-large');
    expect(codes(of(slow, { mass: largest * 0.99 }))).not.toContain('mix-too-large');
  });

  it('warns of a mass that runs away in its cup, and of one whose core is hotter', () => {
    const found = codes(of({ ...SCALE, ...HEAT }, { mass: 0.06 }));
    expect(found).toContain('mix-runs-away');
    expect(found).toContain('mix-hot-core');
    expect(codes(of({ ...SCALE, ...HEAT }))).toEqual([]);
  });

  it('says what is missing for it, and does so for values beyond all numbers', () => {
    expect(codes(of({ ...SCALE, ...HEAT, 'resin.heat_capacity': null }))).toEqual(['mix-heat-unknown']);
    expect(codes(of({ ...SCALE, 'process.cup': { diameter: 0.04, wall: 10, rise: 10 } }))).toEqual([
      'mix-heat-unknown',
    ]);
    const extreme = of({ ...SCALE, ...HEAT, 'process.cup': { diameter: 0.04, wall: 1e30, rise: 10 } });
    expect(extreme.result!.cup).toBeNull();
    expect(codes(extreme)).toEqual(['mix-heat-unknown']);
  });
});

describe('kits of a batch', () => {
  it('are never below the least mass nor above the largest', () => {
    const { result } = batch(exampleRecipe(SCALE), { connectors: 100 });
    expect(result!.kit_g).toBeCloseTo(result!.least_kit_g!, 12);
    const slow = {
      ...SCALE,
      ...HEAT,
      'process.ready_after': 3000,
      'station.syringe.fill': 20e-6,
      'station.syringe.barrel': 30e-6,
    };
    const bounded = batch(exampleRecipe({ ...slow, 'settings.ramp': null }), { connectors: 100 }).result!;
    expect(bounded.largest_kit_g).toBeLessThan(20 * 1.15);
    expect(bounded.kit_g).toBeCloseTo(bounded.largest_kit_g!, 12);
  });

  it('that are given outside are refused, as are recipes that allow none', () => {
    const small = batch(exampleRecipe(SCALE), { connectors: 10, kit: { kind: 'mass', value: 0.5e-3 } });
    expect(small.result).toBeNull();
    expect(codes(small)).toEqual(['batch-kit-unmixable']);
    const none = { ...SCALE, ...HEAT, 'process.ready_after': 3000, 'station.scale': 1e-3 };
    expect(codes(batch(exampleRecipe(none), { connectors: 10 }))).toEqual(['batch-kit-unmixable']);
    expect(codes(of(none))).toEqual(['mix-no-mass']);
  });

  it('unchanged: without a ratio a kit is what fills one syringe', () => {
    const { result } = batch(exampleRecipe(), { connectors: 10 });
    expect([result!.kit_mL, result!.least_kit_g, result!.largest_kit_g]).toEqual([5, null, null]);
  });
});
