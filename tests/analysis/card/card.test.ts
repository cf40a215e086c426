import { describe, expect, it } from 'vitest';
import { card } from '../../../src/analysis/card/card.ts';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { release } from '../../../src/analysis/release/release.ts';
import { setpoint } from '../../../src/analysis/setpoint/setpoint.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const minute = 60;

function cardOf(overrides: Record<string, unknown> = {}, options: Parameters<typeof card>[1] = {}) {
  const { result, findings } = card(exampleRecipe(overrides), options);
  return { result: result!, codes: findings.map(f => f.code) };
}

describe('the setup card', () => {
  it('shows the outside of the needle that the recipe gives, in mm, or else that of its gauge', () => {
    expect(cardOf({ 'needle.outside': 0.72e-3 }).result.needle.outside_mm).toBeCloseTo(0.72, 12);
    const { needle } = cardOf().result;
    // ISO 9626: designated metric size 0.7 mm, outside 0.698 to 0.730 mm
    expect(needle.outside_mm).toBeGreaterThanOrEqual(0.698);
    expect(needle.outside_mm).toBeLessThanOrEqual(0.73);
  });

  it('shows released settings as they are, step by step', () => {
    // 0.53 s for four shots, then 0.02 s more for each further four; 73 shots end at 12 + 72·40 s = 60 min, factor 2
    const { result } = cardOf({ 'process.tolerance': 0.5 });
    expect(result).toMatchObject({ settings: 'released', pressure_kPa: 210, dwell_s: 0.53, dwell_decimals: 2 });
    expect(result.ramp.basis).toBe('released');
    expect(result.ramp.steps).toHaveLength(19); // ⌈73/4⌉
    result.ramp.steps.forEach((step, i) => {
      expect(step.from_shot).toBe(4 * i + 1);
      expect(step.to_shot).toBe(Math.min(4 * i + 4, 73));
      expect(step.dwell_s).toBeCloseTo(0.53 + 0.02 * i, 12);
      expect(step.from_age_min).toBeCloseTo(12 + (4 * i * 40) / 60, 12);
      expect(step.at).toBeNull();
    });
    expect(result.stop).toMatchObject({ shot: 73, reason: 'viscosity_factor', at: null });
    expect(result.stop.age_min).toBeCloseTo(60, 12);
  });

  it('gives clock times when the mixing is known, past midnight too', () => {
    const { result } = cardOf({ 'process.tolerance': 0.5 }, { mixedAt: 23 * 3600 + 40 * minute });
    expect(result).toMatchObject({ mixed_at: '23:40', first_shot_at: '23:52' });
    expect(result.stop.at).toBe('00:40');
    // shot 29 is due 28 takts of 40 s after 23:52
    expect(result.ramp.steps[7]).toMatchObject({ from_shot: 29, at: '00:11' }); // 23:52 + 18 min 40 s
  });

  it('computes what is not released, with the setpoint and its ramp, and says so', () => {
    const { result, codes } = cardOf({ settings: null });
    const recipe = exampleRecipe({ settings: null });
    expect(codes).toContain('card-not-released');
    expect(result.settings).toBe('computed, not released');
    expect(result.pressure_kPa).toBe(setpoint(recipe).result!.chosen.pressure_kPa);
    const computed = ramp(recipe).result!;
    expect(result.ramp.stages).toEqual(computed.program.stages);
    expect(result.ramp.worst_error_pct).toBeCloseTo(computed.worst_error_pct, 9);
    expect(result.shots.map(s => s.dwell_s)).toEqual(computed.shots.map(s => s.program_dwell_s));
    expect(result.stop).toMatchObject({ shot: computed.end.shot, reason: computed.end.reason });
  });

  it('takes a released pressure and computes the rest', () => {
    const { result } = cardOf({ 'settings.dwell': null });
    expect(result).toMatchObject({ settings: 'computed, not released', pressure_kPa: 210 });
    expect(result.ramp.stages).toEqual(ramp(exampleRecipe({ 'settings.dwell': null })).result!.program.stages);
  });

  it('does not trust a dwell whose pressure is not released', () => {
    const { result } = cardOf({ 'settings.pressure': null });
    expect(result.pressure_kPa).toBe(setpoint(exampleRecipe({ settings: null })).result!.chosen.pressure_kPa);
  });

  it('stops before the tolerance is left, and says from which shot', () => {
    // the dwell stays, the viscosity grows with 2^(age/60 min): from ln(1.1)/ln(2)·60 = 8.25 min on the shot is 9.1 % smaller
    const { result, codes } = cardOf({ 'settings.ramp': null });
    expect(codes).toContain('card-out-of-tolerance');
    expect(result.ramp.basis).toBe('kept');
    expect(result.ramp.steps).toHaveLength(1);
    const from = result.out_of_tolerance_from_shot!;
    expect(result.stop).toMatchObject({ shot: from - 1, reason: 'tolerance' });
    const volume = (i: number) => result.shots[i]!.dwell_s / result.shots[i]!.exact_dwell_s; // over the aim, ideal air
    expect(Math.abs(volume(from - 2) - 1)).toBeLessThanOrEqual(0.1);
    expect(Math.abs(volume(from - 1) - 1)).toBeGreaterThan(0.1);
  });

  it('is no card to work with when the first shot is outside the tolerance', () => {
    const { result } = cardOf({ 'settings.dwell': 1.5 });
    expect(result.stop).toMatchObject({ shot: 0, reason: 'tolerance' });
    expect(result.ramp.steps.length).toBeGreaterThan(1);
  });

  it('has the rings of the gauge for the same shots', () => {
    const { result } = cardOf();
    const sheet = gauge(exampleRecipe(), { shots: result.dot!.shots_per_circle }).result!;
    expect(result.dot!.rings).toEqual(sheet.rings);
    expect(cardOf({}, { dotsPerCircle: 3 }).result.dot).toMatchObject({ shots_per_circle: 3 });
  });

  it('puts fewer shots on a circle where the card has no room for more', () => {
    const wanted = gauge(exampleRecipe({ 'process.tolerance': 0.01 })).result!;
    expect(wanted.rings[2]!.diameter_mm).toBeGreaterThan(22);
    const { result } = cardOf({ 'process.tolerance': 0.01, settings: null });
    expect(result.dot!.rings[2]!.diameter_mm).toBeLessThanOrEqual(22);
    const one_more = gauge(exampleRecipe(), { shots: result.dot!.shots_per_circle + 1 }).result!;
    expect(one_more.rings[2]!.diameter_mm).toBeGreaterThan(22);
  });

  it('goes on without a dot, and says why', () => {
    for (const [overrides, options] of [
      [{ 'resin.dot': null }, {}],
      [{}, { dotsPerCircle: 2000 }],
    ] as const) {
      const { result, codes } = cardOf(overrides, options);
      expect(result.dot).toBeNull();
      expect(codes).toContain('card-no-dot');
    }
  });

  it('carries the calibration with its date', () => {
    const { result } = cardOf({ calibration: { viscosity_factor: 1.04, pressure_offset: 2000, dead_time: 0.02 } });
    expect(result.calibration).toMatchObject({ viscosity_factor: 1.04, pressure_offset_kPa: 2, dead_time_s: 0.02 });
    expect(cardOf().result.calibration).toBeNull();
  });

  it('finds an option that cannot be, and a recipe without what it needs', () => {
    expect(card(exampleRecipe(), { dotsPerCircle: 0 }).findings.map(f => f.code)).toContain('card-option');
    const { result, findings } = card(exampleRecipe({ 'process.takt': null }));
    expect(result).toBeNull();
    expect(findings.map(f => f.path)).toContain('process.takt');
  });
});

describe('the second page', () => {
  it('has a row for every 0.1 mm, from the last dot that stops below to the first above', () => {
    const { trims, dot } = card(exampleRecipe()).result!;
    const sizes = trims.map(t => t.diameter_mm);
    for (const [i, size] of sizes.slice(1).entries()) expect(size - sizes[i]!).toBeCloseTo(0.1, 9);
    expect(trims[0]!.action).toBe('stop');
    expect(trims.at(-1)!.action).toBe('stop');
    expect(trims.filter(t => t.action === 'stop')).toHaveLength(2);
    const aim = dot!.rings.find(ring => ring.name === 'aim')!.diameter_mm;
    expect(trims.find(t => Math.abs(t.diameter_mm - aim) < 0.05)!.action).toBe('keep');
    // A smaller dot is a thicker resin, and takes longer.
    const dwells = trims.flatMap(t => (t.action === 'set' ? [t.dwell_s!] : []));
    expect(dwells).toEqual([...dwells].sort((a, b) => b - a));
  });

  it('says what a release of such dots says', () => {
    const recipe = exampleRecipe();
    const { trims, dot } = card(recipe).result!;
    for (const t of [trims[1]!, trims.at(-2)!]) {
      const dots = [t.diameter_mm, t.diameter_mm, t.diameter_mm].map(mm => mm / 1e3);
      const { result } = release(recipe, { dots, shots: dot!.shots_per_circle, shot: 1, temperature: 296.15 });
      expect(result!.decision).toBe('use with trim');
      expect(t.dwell_s).toBe(result!.trim!.program.stages[0]!.first_dwell_s);
    }
  });

  it('spreads the checks evenly over the run, the first piece among them', () => {
    const { checks, stop } = card(exampleRecipe(), { mixedAt: 36_300 }).result!;
    expect(checks.map(({ shot }) => shot)).toEqual([0, 1, 2, 3].map(i => 1 + Math.floor((i * stop.shot) / 4)));
    expect(checks[0]).toMatchObject({ age_min: 12, at: '10:17' });
  });
});
