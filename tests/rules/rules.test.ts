import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cavity } from '../../src/analysis/cavity/cavity.ts';
import { programRun } from '../../src/analysis/ramp/program-run.ts';
import type { Finding } from '../../src/diagnostics/finding.ts';
import { nodeFileSystem } from '../../src/files/node-file-system.ts';
import { parseRecipe } from '../../src/recipe/format/load.ts';
import type { Recipe } from '../../src/recipe/schema/recipe.ts';
import { runRules } from '../../src/rules/index.ts';
import { RuleContext } from '../../src/rules/rule-context.ts';
import { RULES } from '../../src/rules/rules.ts';
import { exampleRecipe } from '../helpers/recipe-builder.ts';

const codes = (recipe: Recipe) => runRules(recipe).map(({ code }) => code);
const one = (recipe: Recipe, code: string): Finding | undefined => runRules(recipe).find(f => f.code === code);

/** Of the example's plain needle: 22 G is 0.413 mm inside (chart), the entrance adds 3πR/16 (Dagan et al. 1982). */
function exampleFlow(pressure: number): number {
  const bore = new RuleContext(exampleRecipe()).needle.result?.bore.value ?? 0;
  const length = 12.7e-3 + ((3 * Math.PI) / 16) * (bore / 2);
  // Arrhenius at 23 °C, R of the 2019 SI; pot life 60 min, factor 2, first shot at 12 min
  const viscosity = 2.4 * Math.exp((60e3 / 8.31446261815324) * (1 / 296.15 - 1 / 298.15)) * 2 ** (12 / 60);
  return (Math.PI * (pressure - 3e3) * (bore / 2) ** 4) / (8 * viscosity * length);
}

/** [m³] */
function exampleAim(): number {
  return (cavity(exampleRecipe()).result?.backfill_aim_uL ?? Number.NaN) * 1e-9;
}

describe('the shot of the settings', () => {
  // V = Q·t for ideal air; 1e-6 either side is far above rounding and far below any step of dwell
  const dwellOf = (share: number) => (share * exampleAim()) / exampleFlow(210e3);

  it.each([
    [1.1 * (1 - 1e-6), false],
    [1.1 * (1 + 1e-6), true],
    [0.9 * (1 + 1e-6), false],
    [0.9 * (1 - 1e-6), true],
  ])('%f of the aim with a tolerance of 10 %% is a finding: %s', (share, expected) => {
    const recipe = exampleRecipe({ 'settings.dwell': dwellOf(share) });
    expect(codes(recipe).includes('shot-outside-tolerance')).toBe(expected);
  });

  it('is judged against the window, limits included', () => {
    const { backfill_min_uL: min, backfill_max_uL: max } = cavity(exampleRecipe()).result!;
    const found = (volume: number) =>
      codes(exampleRecipe({ 'settings.dwell': (volume * 1e-9) / exampleFlow(210e3) })).includes('shot-outside-window');
    expect([min! * (1 - 1e-6), min! * (1 + 1e-6), max! * (1 - 1e-6), max! * (1 + 1e-6)].map(found)).toEqual([
      ...[true, false, false, true],
    ]);
  });
});

describe('the run of the settings', () => {
  it('thickens by the pot life, and says at which shot and age the tolerance is left', () => {
    const recipe = exampleRecipe({ 'settings.ramp': null });
    const { run, startShot, window } = new RuleContext(recipe);
    const first = startShot!.volume / window!.aim;
    // error of shot i by hand: first·2^(−40(i − 1)/3600) − 1, below −10 % from the first i above 1 + 90·log2(first/0.9) on
    const leaving = Math.floor(1 + 90 * Math.log2(first / 0.9)) + 1;
    expect(run!.shots[29]!.error).toBeCloseTo(first * 2 ** (-(40 * 29) / 3600) - 1, 12);
    // viscosity factor 2 at 60 min: (60 − 12)·60/40 + 1 shots
    expect(run!.end).toEqual({ reason: 'viscosity_factor', shot: 73, age: 3600 });
    const age = Number((12 + ((leaving - 1) * 40) / 60).toPrecision(4));
    expect(one(recipe, 'ramp-missing')?.message).toContain(`at shot ${leaving} (age ${age} min)`);
  });

  it('ends at 90 % of the gel age where nothing else ends it, and is not judged where nothing does', () => {
    const open = { 'process.stop_at': null, 'station.syringe': null };
    // first order, k = 2e-4/s: α = 0.5 at ln 2/k = 3465.7 s; 90 %: 3119.2 s; 720 + (n − 1)·40 ≤ 3119.2: n = 60
    const none = { A2: 0, E1: 0, E2: 0, c2: 0 };
    const cure = { model: 'castro-macosko', A1: 2e-4, m: 1, n: 1, gel_conversion: 0.5, c1: 0.5, ...none };
    const { run } = new RuleContext(exampleRecipe({ ...open, 'resin.cure': cure }));
    expect(run!.end).toMatchObject({ reason: 'gel', shot: 60 });
    expect(new RuleContext(exampleRecipe({ ...open, 'resin.cure': { model: 'none' } })).run).toBeNull();
  });

  it('is an error with a ramp and a warning without one', () => {
    const slow = exampleRecipe({ 'settings.ramp': [{ from_shot: 1, add: 0.01, every: 30 }] });
    expect(one(slow, 'program-leaves-tolerance')?.severity).toBe('error');
    expect(codes(slow)).not.toContain('ramp-missing');
    const none = exampleRecipe({ 'settings.ramp': null });
    expect(one(none, 'ramp-missing')?.severity).toBe('warning');
    expect(codes(none)).not.toContain('program-leaves-tolerance');
  });

  it('that starts outside is said of the first shot alone', () => {
    const late = exampleRecipe({ 'settings.dwell': 0.4 });
    expect(codes(late)).toContain('shot-outside-tolerance');
    expect(codes(late)).not.toContain('program-leaves-tolerance');
  });

  it('may pass the station with its ramp', () => {
    const fast = { 'settings.ramp': [{ from_shot: 1, add: 0.03, every: 4 }], 'station.dwell.max': 0.93 };
    const found = one(exampleRecipe(fast), 'setting-outside-limits');
    // 0.53 s + k·0.03 s passes 0.93 s at k = 14, which comes with shot 14·4 + 1, at 12 min + 56·40 s
    expect(found?.message).toContain('with its ramp the dwell is 0.95 s at shot 57 (age 49.33 min)');
  });

  it('is what programRun says, for resins and air with a closed form', () => {
    const runs = fc.record({
      viscosity: fc.double({ min: 1, max: 5, noNaN: true }),
      n: fc.option(fc.double({ min: 0.4, max: 1, noNaN: true }), { nil: null }),
      yieldStress: fc.option(fc.double({ min: 5, max: 50, noNaN: true }), { nil: null, freq: 1 }),
      cures: fc.boolean(),
      ramp: fc.boolean(),
      rise: fc.option(fc.double({ min: 0.01, max: 0.2, noNaN: true }), { nil: null }),
      bore_shot: fc.constantFrom('by_sight', 'by_dwell'),
      stop: fc.constantFrom({ viscosity_factor: 1.7 }, { age: 2000 }, { viscosity_factor: 9 }),
      fill: fc.double({ min: 0.32e-6, max: 0.6e-6, noNaN: true }),
      every: fc.integer({ min: 1, max: 9 }),
      max: fc.constantFrom(0.6, 99),
      heated: fc.boolean(),
    });
    let [compared, shortened] = [0, 0];
    fc.assert(
      fc.property(runs, r => {
        const recipe = exampleRecipe({
          ...(!r.cures && { 'resin.cure': { model: 'none' }, 'process.stop_at': { age: 3000 } }),
          'resin.rheology':
            r.n === null && r.yieldStress !== null && !r.cures && !r.heated
              ? { model: 'bingham', yield_stress: r.yieldStress, viscosity: r.viscosity }
              : r.n === null
                ? { model: 'newtonian', viscosity: r.viscosity }
                : { model: 'power-law', K: 3 * r.viscosity, n: r.n },
          'station.air':
            r.rise === null
              ? { model: 'ideal' }
              : { model: 'first-order', rise: r.rise, fall: 0.5 * r.rise, delay: 0.01 },
          'process.bore_shot': r.bore_shot,
          ...(r.cures && { 'process.stop_at': r.stop }),
          'station.syringe.fill': r.fill,
          'station.dwell.max': r.max,
          'settings.ramp': r.ramp ? [{ from_shot: 1, add: 0.02, every: r.every }] : null,
          ...(r.heated && {
            'process.temperature': {
              profile: [
                [0, 290],
                [3000, 300],
              ],
            },
          }),
        });
        const { run } = new RuleContext(recipe);
        const { result } = programRun(recipe);
        expect(run?.end ?? null).toEqual(result?.end ?? null);
        expect(run?.end.shot).toBe(result?.shots.length || undefined);
        for (const expected of result?.shots ?? []) {
          const shot = run!.shots.findLast(of => of.shot <= expected.shot)!; // the like ones after it are left out
          expect(shot.dwell).toBe(expected.dwell);
          expect(shot.withinWindow).toBe(expected.withinWindow);
          // both are rounding of one closed form apart
          expect(Math.abs(shot.error - expected.error)).toBeLessThan(1e-9);
          compared += 1;
        }
        if (run !== null && run.shots.length < run.end.shot) shortened += 1;
      }),
      { numRuns: 150, seed: 7 },
    );
    expect(compared).toBeGreaterThan(200);
    expect(shortened).toBeGreaterThan(5);
  });
});

describe('limits and steps of the station', () => {
  it.each([
    [0.53, 0.01, false],
    [0.07, 0.01, false], // 7.000000000000001 steps in binary
    [0.535, 0.01, true],
    [1.1, 0.1, false],
    [0.5300001, 0.01, true],
  ])('a dwell of %f s on steps of %f s is a finding: %s', (dwell, step, expected) => {
    const recipe = exampleRecipe({ 'settings.dwell': dwell, 'station.dwell.step': step, 'settings.ramp': null });
    expect(codes(recipe).includes('setting-off-step')).toBe(expected);
  });

  it('the addition has a resolution of its own', () => {
    expect(codes(exampleRecipe({ 'station.ramp.add_step': 0.015 }))).toContain('setting-off-step');
  });

  it('limits are inclusive', () => {
    expect(codes(exampleRecipe({ 'station.pressure.max': 210e3 }))).not.toContain('setting-outside-limits');
    expect(codes(exampleRecipe({ 'station.pressure.max': 209e3 }))).toContain('setting-outside-limits');
    expect(codes(exampleRecipe({ 'station.pressure.min': 211e3 }))).toContain('setting-outside-limits');
  });

  it('a ramp of more stages than the station stores is outside its limits', () => {
    const ramp = [1, 40].map(from_shot => ({ from_shot, add: 0.02, every: 4 }));
    expect(codes(exampleRecipe({ 'settings.ramp': ramp }))).toContain('setting-outside-limits');
    expect(codes(exampleRecipe({ 'settings.ramp': ramp, 'station.ramp.stages': 2 }))).not.toContain(
      'setting-outside-limits',
    );
  });

  it('the rating is one for settings, another word for the station', () => {
    expect(one(exampleRecipe({ 'station.rating': 209e3 }), 'pressure-above-rating')?.severity).toBe('error');
    expect(one(exampleRecipe({ 'station.rating': 300e3 }), 'station-above-rating')?.severity).toBe('warning');
    expect(codes(exampleRecipe({ 'station.rating': 300e3 }))).not.toContain('pressure-above-rating');
    expect(codes(exampleRecipe({ 'station.rating': 550e3 }))).not.toContain('station-above-rating');
  });
});

describe('air that rules the dwell', () => {
  // Without friction the mean pressure of a first-order rise over a dwell t is 1 − (τ/t)(1 − e^(−t/τ)); a fifth is
  // missing at t/τ = x with (1 − e^(−x))/x = 0.2, which is x = 4.965114 (by hand, fixed point)
  const share = 4.965114;
  it.each([
    [share * 1.001, false],
    [share * 0.999, true],
  ])('a dwell of %f rise times is a finding: %s', (times, expected) => {
    const air = { model: 'first-order', rise: 0.53 / times, fall: 1e-6, delay: 0 };
    const recipe = exampleRecipe({ 'station.air': air, 'station.syringe.plunger_friction': 0 });
    expect(codes(recipe).includes('air-rules-dwell')).toBe(expected);
  });

  it('a long tail is one too', () => {
    const air = { model: 'first-order', rise: 1e-6, fall: 0.2, delay: 0 };
    expect(one(exampleRecipe({ 'station.air': air }), 'air-rules-dwell')?.message).toContain('leaves after the dwell');
  });
});

describe('the spread that no trim removes', () => {
  it('is six standard deviations of the shot against the width of the window', () => {
    const { min, max } = new RuleContext(exampleRecipe()).window!;
    const bare = {
      'station.pressure.accuracy': null,
      'connector.cavity[0].diameter': 126e-6,
      'connector.cavity[0].length': 5.5e-3,
      'connector.cable[0].diameter': 125e-6,
    };
    // jitter alone: sd = Q·half-width/2; at the limit 6·Q·jitter/2 = max − min
    const jitter = (max - min) / (3 * exampleFlow(210e3));
    const found = (share: number) => {
      const half = { value: share * jitter, halfWidth: 0 };
      const recipe = exampleRecipe({ ...bare, 'station.dwell.jitter': half });
      const station = recipe.station!;
      const deviation = { ...station.dwell!.jitter!, distribution: 'normal', coverage: 2, per: 'shot' } as const;
      return codes({ ...recipe, station: { ...station, dwell: { ...station.dwell!, jitter: deviation } } });
    };
    expect(found(1.001)).toContain('spread-exceeds-window');
    expect(found(0.999)).not.toContain('spread-exceeds-window');
  });
});

describe('the prime', () => {
  it('fills the needle', () => {
    const bore = new RuleContext(exampleRecipe()).needle.result!.bore.value;
    const needed = Math.ceil(((Math.PI / 4) * bore ** 2 * 12.7e-3) / exampleAim()); // volume of the bore over the aim
    expect(codes(exampleRecipe({ 'process.prime': needed }))).not.toContain('prime-too-few');
    expect(one(exampleRecipe({ 'process.prime': needed - 1 }), 'prime-too-few')?.help).toContain(`prime: ${needed}`);
  });
});

describe('a recipe without some blocks', () => {
  const blocks = ['connector', 'needle', 'resin', 'station', 'process', 'settings'] as const;
  const sound = exampleRecipe({ 'station.syringe.fill': 0.5e-6, 'resin.cure.activation_energy': 60e3 });

  it('the whole one is silent but for its ramp', () => {
    expect(runRules(sound).filter(({ severity }) => severity === 'error')).toEqual([]);
  });

  it.each(Array.from({ length: 64 }, (_, bits) => blocks.filter((_, i) => bits & (1 << i))))(
    '%s, %s, %s, %s, %s, %s',
    (...kept) => {
      const partial = Object.fromEntries(
        Object.entries(sound).filter(([key]) => !blocks.includes(key as never) || kept.includes(key as never)),
      ) as unknown as Recipe;
      const errors = runRules(partial).filter(({ severity }) => severity === 'error');
      // without a process the resin is fresh and warm, and the released dwell too long for it
      const fresh = !kept.includes('process') && errors.every(({ code }) => code === 'shot-outside-window');
      expect(fresh ? [] : errors).toEqual([]);
    },
  );
});

describe('the rules', () => {
  it('never throw, whatever numbers the loader lets through', async () => {
    const text = readFileSync(join(import.meta.dirname, '../../recipes/tide-gauge-pigtail.yaml'), 'utf8');
    const count = text.match(NUMBER)?.length ?? 0;
    expect(count).toBeGreaterThan(60);
    const change = fc.record({
      which: fc.integer({ min: 0, max: count - 1 }),
      factor: fc.constantFrom(1e-3, 0.1, 0.5, 0.9, 1.1, 1.5, 10, 1e3),
    });
    let sound = 0;
    await fc.assert(
      fc.asyncProperty(fc.array(change, { minLength: 1, maxLength: 4 }), async changes => {
        const changed = changes.reduce((t, c) => withNumber(t, c.which, c.factor), text);
        const { recipe } = await parseRecipe(changed, 'a.yaml', nodeFileSystem);
        if (recipe === null) return;
        sound += 1;
        for (const { message } of runRules(recipe)) expect(message).not.toMatch(/NaN|undefined|null|Infinity/);
      }),
      { numRuns: 300, seed: 11 },
    );
    expect(sound).toBeGreaterThan(100);
  });

  it('have codes of their own', () => {
    expect(new Set(RULES.map(({ code }) => code)).size).toBe(RULES.length);
  });

  it('share what they ask for', () => {
    const context = new RuleContext(exampleRecipe());
    for (const key of ['book', 'needle', 'delivery', 'start', 'run', 'dot', 'holdBack'] as const) {
      expect(context[key], key).toBe(context[key]);
    }
  });
});

const NUMBER = /(?<![\w.])\d+(?:\.\d+)?(?![\w.])/g;

/** The text with one of its numbers multiplied. */
function withNumber(text: string, which: number, factor: number): string {
  let at = -1;
  return text.replace(NUMBER, number => {
    at += 1;
    return at === which ? String(Number((Number(number) * factor).toPrecision(6))) : number;
  });
}

it('a resin is judged without a needle too', () => {
  // 23 °C, and a pot life for 25 °C that does not say how temperature moves it
  const resin = { 'resin.cure': { model: 'pot-life', time: 3600, factor: 2 } };
  expect(codes(exampleRecipe(resin))).toContain('cure-temperature');
  expect(codes(exampleRecipe({ ...resin, needle: null }))).toContain('cure-temperature');
  expect(codes(exampleRecipe({ needle: null, resin: null }))).not.toContain('cure-temperature');
});

it('a setting between two steps names both, and of them those that the station can make', () => {
  const help = (overrides: object) => one(exampleRecipe({ ...overrides }), 'setting-off-step')?.help;
  expect(help({ 'settings.dwell': 0.535 })).toBe('write 0.53 s or 0.54 s');
  expect(help({ 'settings.dwell': 0.535, 'station.dwell.max': 0.535 })).toBe('write 0.53 s');
});
