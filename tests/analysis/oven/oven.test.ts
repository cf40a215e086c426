import { describe, expect, it } from 'vitest';
import { oven } from '../../../src/analysis/oven/oven.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const R = 8.31446261815324;
const MINUTE = 60;
const celsius = (t: number) => t + 273.15;
/** First order: the closed forms are exponentials. */
const FIRST_ORDER = {
  ...{ model: 'castro-macosko', A1: 2e6, E1: 62e3, A2: 0, E2: 0, m: 1, n: 1 },
  ...{ gel_conversion: 0.55, c1: 1.5, c2: 1 },
};
const KINETICS = {
  ...{ model: 'castro-macosko', A1: 2.5e6, E1: 62e3, A2: 2.4e6, E2: 57e3, m: 0.9, n: 1.2 },
  ...{ gel_conversion: 0.55, c1: 1.5, c2: 1 },
};
const GLASS = { uncured: celsius(-28), cured: celsius(112), lambda: 0.42, required: celsius(85), beyond: 10 };
const level = (temperature: number, minutes: number) => [
  [0, celsius(temperature)],
  [minutes * MINUTE, celsius(temperature)],
];
const of = (overrides: Record<string, unknown>, options = {}) =>
  oven(exampleRecipe({ 'resin.cure': KINETICS, ...overrides }), options);
const codes = (outcome: { findings: readonly { code: string }[] }) => outcome.findings.map(({ code }) => code);

describe('the cure in the oven', () => {
  it('of first order at one temperature follows the closed form, from the conversion at its age on', () => {
    const [bench, hot] = [23, 80].map(t => 2e6 * Math.exp(-62e3 / (R * celsius(t))));
    const { result } = of({ 'resin.cure': FIRST_ORDER, 'process.oven': level(80, 60) }, { age: 20 * MINUTE });
    const start = 1 - Math.exp(-bench! * 20 * MINUTE);
    expect(result!.conversion_start).toBeCloseTo(start, 9);
    expect(result!.conversion_end).toBeCloseTo(1 - (1 - start) * Math.exp(-hot! * 60 * MINUTE), 8);
    expect(result!.gel_min).toBeCloseTo(Math.log((1 - start) / 0.45) / hot! / 60, 6);
  });

  it('of the second stage of the Lee–Loos–Springer epoxy follows its published constants', () => {
    // J. Composite Mater. 16 (1982) 510-520: above α = 0.3 dα/dt = k₃(1 − α), A₃ 1.96e5 1/min, E₃ 56.6 kJ/mol; at 116 °C
    // k₃ is 0.00495592 1/min (recomputed there with R = 8.31446).
    const cure = { ...FIRST_ORDER, A1: 1.96e5 / 60, E1: 56.6e3 };
    const { result } = of({ 'resin.cure': cure, 'process.oven': level(116, 30) }, { age: 0 });
    expect(result!.conversion_end).toBeCloseTo(1 - Math.exp(-0.00495592 * 30), 5); // R rounded there
  });

  it('gives the glass transition by DiBenedetto, its margin, and where the glass stops the cure', () => {
    const { result } = of({ 'resin.glass': GLASS, 'process.oven': level(60, 180) }, { age: 12 * MINUTE });
    // The cure stops where Tg is 10 K above the oven: at 70 °C, 15 K short of what is required.
    expect(result!.glass_end_C).toBeCloseTo(70, 6);
    expect(result!.glass_margin_K).toBeCloseTo(-15, 6);
    expect(result!.vitrified_min).toBeGreaterThan(result!.gel_min!);
    const alpha = result!.conversion_end;
    expect(-28 + (140 * 0.42 * alpha) / (1 - 0.58 * alpha)).toBeCloseTo(70, 6);
  });

  it('is further for the last shot of a syringe, which starts from more', () => {
    const { result } = of({ 'process.oven': level(60, 20), 'process.stop_at': { age: 40 * MINUTE } });
    expect(result!.last!.conversion_start).toBeGreaterThan(result!.conversion_start);
    expect(result!.last!.gel_min!).toBeLessThan(result!.gel_min!);
    expect(of({ 'process.oven': level(60, 20) }, { age: 60 }).result!.last).toBeNull();
  });

  it('says what it lacks', () => {
    expect(codes(of({}))).toEqual(['block-missing']);
    expect(codes(of({ 'resin.cure': { model: 'none' }, 'process.oven': level(60, 20) }))).toEqual(['oven-no-kinetics']);
    expect(codes(of({ 'process.oven': level(60, 20) }, { age: 1e7 }))).toEqual(['oven-too-late']);
    expect(
      codes(
        of({
          'process.oven': [
            [0, -3],
            [60, 300],
          ],
        }),
      ),
    ).toEqual(['oven-impossible']);
    expect(of({ 'process.oven': level(60, 20), connector: null }, { age: 0 }).result!.wicking_mm).toBeNull();
  });
});

describe('what is drawn in behind the reach', () => {
  // Tube of 1.1 mm, buffer of 0.9 mm: 100 µm a side behind a reach of 10.8 mm; 427.5 µm around the coating in front of it.
  const still = { ...KINETICS, A1: 1e-30, A2: 0 }; // hardly cures: the viscosity stays
  const thick = { 'resin.rheology.viscosity': 2e4, 'resin.activation_energy': null };

  it('follows Washburn at constant viscosity: the root of time, less what the wider gap pulls back', () => {
    const { result } = of({ ...thick, 'resin.cure': still, 'process.oven': level(60, 60) }, { age: 0 });
    const h = 100e-6;
    const widest = (1.1e-3 - 0.245e-3) / 2;
    const squared = ((0.042 * h) / (3 * 2e4)) * (1 - h / widest) * 3600;
    expect(result!.gap_um).toBeCloseTo(100, 6);
    expect(result!.widest_gap_um).toBeCloseTo(427.5, 6);
    expect(result!.wicking_mm! / 1e3).toBeCloseTo(Math.sqrt(squared), 9);
    expect(result!.wicking_bound).toBe('oven');
    const double = of({ ...thick, 'resin.cure': still, 'process.oven': level(60, 240) }, { age: 0 }).result!;
    expect(double.wicking_mm! / result!.wicking_mm!).toBeCloseTo(2, 6);
    const angle = { 'connector.gap_contact_angle': Math.PI / 3 };
    const half = of({ ...thick, ...angle, 'resin.cure': still, 'process.oven': level(60, 60) }, { age: 0 }).result!;
    expect(half.wicking_mm! / result!.wicking_mm!).toBeCloseTo(Math.SQRT1_2, 9);
  });

  it('is that of a plain sum of dt/η until gel', () => {
    const slow = { 'resin.rheology.viscosity': 2e4 };
    const profile = [
      [0, celsius(23)],
      [600, celsius(90)],
      [3600, celsius(90)],
    ];
    const { result } = of({ ...slow, 'process.oven': profile }, { age: 0 });
    expect(result!.wicking_bound).toBe('gel');
    let [alpha, fluidity] = [0, 0];
    const dt = 0.02;
    for (let t = 0; alpha < 0.55; t += dt) {
      const T = t < 600 ? celsius(23) + (67 * t) / 600 : celsius(90);
      const k = (A: number, E: number) => A * Math.exp(-E / (R * T));
      const eta = 2e4 * Math.exp((60e3 / R) * (1 / T - 1 / 298.15)) * (0.55 / (0.55 - alpha)) ** (1.5 + alpha);
      fluidity += dt / eta;
      alpha += dt * (k(2.5e6, 62e3) + k(2.4e6, 57e3) * alpha ** 0.9) * (1 - alpha) ** 1.2;
    }
    const h = 100e-6;
    const x = Math.sqrt(((0.042 * h) / 3) * (1 - h / 427.5e-6) * fluidity);
    expect(result!.wicking_mm! / 1e3 / x).toBeCloseTo(1, 3);
  });

  it('is never more than the wider gaps hold', () => {
    const { result } = of({ 'process.oven': level(90, 60) }, { age: 0 });
    expect(result!.wicking_bound).toBe('resin');
    // Drawn in: an annulus of 1.1 over 0.9 mm. In front: lead-in behind the fibre bore and tube around coating and fibre.
    const drawn = (Math.PI / 4) * (1.1 ** 2 - 0.9 ** 2) * result!.wicking_mm!;
    const around = (Math.PI / 4) * (1.1 ** 2 - 0.245 ** 2);
    expect(drawn).toBeGreaterThan(around * 0.5);
    expect(drawn).toBeLessThan(around + 0.6);
    expect(codes(of({ 'process.oven': level(90, 60) }))).toContain('oven-reach');
  });

  it('is nothing where the resin does not wet, nor into a gap that is not narrower', () => {
    const dry = of({ 'process.oven': level(90, 60), 'connector.gap_contact_angle': Math.PI / 2 }, { age: 0 }).result!;
    expect([dry.wicking_mm, dry.wicking_bound]).toEqual([0, 'wetting']);
    const thin = { 'connector.cable.2.diameter': 0.245e-3 };
    const wide = of({ 'process.oven': level(90, 60), ...thin }, { age: 0 }).result!;
    expect([wide.wicking_mm, wide.wicking_bound]).toEqual([0, 'gap']);
  });
});

describe('the bead on the end face', () => {
  it('sinks by the shrinkage after the gel point of bead and bore over its contact area', () => {
    const { result } = of({ 'resin.shrinkage': 0.04, 'process.oven': level(90, 60) }, { age: 0 });
    // Final bead of 0.0832 µL, 0.882 mm across (README of the demo); the bore leaves π/4·(126² − 125²) µm² over 5.5 mm free.
    const volume = 0.0832 + ((Math.PI / 4) * (126 ** 2 - 125 ** 2) * 5500) / 1e9;
    const area = (Math.PI / 4) * 0.882 ** 2;
    const after = result!.conversion_end - 0.55;
    expect(result!.bead_recess_um! / ((0.04 * after * volume * 1e3) / area)).toBeCloseTo(1, 2);
    const soft = of({ 'resin.shrinkage': 0.04, 'process.oven': level(30, 5) }, { age: 0 });
    expect(soft.result!.bead_recess_um).toBe(0);
    expect(codes(soft)).toContain('oven-no-gel');
  });
});

describe('several passages in the oven', () => {
  const GAPS = { 'resin.shrinkage': 0.04, 'process.oven': level(80, 60) };
  const stacks = (row: object, tube: object, buffer: object) => ({
    ...GAPS,
    'connector.cavity': [
      { part: 'bore', diameter: 126e-6, length: 5.5e-3, ...row },
      { part: 'lead-in', diameter: [126e-6, 0.9e-3], length: 0.6e-3, ...row },
      tube,
    ],
    'connector.cable': [{ part: 'fibre', diameter: 125e-6, length: 7.5e-3, ...row }, buffer],
    'connector.face': 15e-3,
  });
  const round = stacks(
    {},
    { part: 'tube', diameter: 1.1e-3, length: 7e-3 },
    { part: 'buffer', diameter: 0.9e-3, length: 20e-3 },
  );

  it('each bead sinks as that of one bore does', () => {
    const row = { count: 12, pitch: 1e-3 };
    const all = stacks(
      row,
      { part: 'chamber', width: 13e-3, height: 1.1e-3, length: 7e-3 },
      { part: 'ribbon', width: 12.8e-3, height: 0.9e-3, length: 20e-3 },
    );
    const [one, twelve] = [round, all].map(recipe => of(recipe, { age: 600 }).result!.bead_recess_um!);
    expect(twelve! / one!).toBeCloseTo(1, 9);
    // A bore without a fibre changes nothing for those that have one.
    const fewer = of({ ...all, 'connector.cable[0].count': 8 }, { age: 600 }).result!.bead_recess_um!;
    expect(fewer / one!).toBeCloseTo(1, 9);
  });

  it('an even gap around a ribbon draws as the ring of that gap, by Washburn', () => {
    const flat = stacks(
      {},
      { part: 'chamber', width: 3.2e-3, height: 1.1e-3, length: 7e-3 },
      { part: 'ribbon', width: 3e-3, height: 0.9e-3, length: 20e-3 },
    );
    const [ring, ribbon] = [round, flat].map(recipe => of(recipe, { age: 600 }).result!);
    expect(ribbon!.gap_um).toBeCloseTo(100, 6);
    expect(ring!.gap_um).toBeCloseTo(100, 6);
  });
});
