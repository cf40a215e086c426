import { describe, expect, it } from 'vitest';
import { cavity } from '../../../src/analysis/cavity/cavity.ts';
import { MODEL_VERSIONS } from '../../../src/analysis/changes/model-versions.ts';
import { recipeResults, roundingOf } from '../../../src/analysis/changes/recipe-results.ts';
import { movedResults, resultChangeText, valuesByKey } from '../../../src/analysis/changes/result-changes.ts';
import { hasMoved, ROUNDING, roundedResult } from '../../../src/analysis/changes/rounded-result.ts';
import { keyProblem, takeResults, unknownKeyText } from '../../../src/analysis/changes/take-results.ts';
import { gauge } from '../../../src/analysis/dot/gauge.ts';
import { insert } from '../../../src/analysis/insert/insert.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { setpoint } from '../../../src/analysis/setpoint/setpoint.ts';
import { shot } from '../../../src/analysis/shot/shot.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const { computed, percent, setting } = ROUNDING;

describe('rounding of results', () => {
  it('keeps four digits of what is computed, six of settings, a thousandth of a percentage', () => {
    expect(roundedResult(1.882345, computed)).toBe(1.882);
    expect(roundedResult(0.000188235, computed)).toBe(0.0001882);
    expect(roundedResult(-18823.45, computed)).toBe(-18820);
    expect(roundedResult(0.5234567, setting)).toBe(0.523457);
    expect(roundedResult(1.30949, percent)).toBe(1.309);
    expect(roundedResult(3.2e-14, percent)).toBe(0); // a residue of subtraction
    expect(roundedResult(0, computed)).toBe(0);
  });

  it('a value between two roundings does not flip with its last bit', () => {
    const middle = 1.8825; // halfway between 1.882 and 1.883
    for (const value of [middle, middle * (1 + 1e-15), middle * (1 - 1e-15)]) {
      expect(hasMoved(1.882, value, computed)).toBe(false);
      expect(hasMoved(1.883, value, computed)).toBe(false);
    }
    expect(hasMoved(1.882, 1.8826, computed)).toBe(true);
    expect(hasMoved(1.883, 1.8824, computed)).toBe(true);
  });

  it('is told by the key', () => {
    expect(roundingOf('ramp.program.stages[0].add_s')).toBe(setting);
    expect(roundingOf('setpoint.chosen.error_pct')).toBe(percent);
    expect(roundingOf('shot.bore.time_to_wanted_bead_s')).toBe(computed);
  });
});

describe('recipeResults', () => {
  it('holds the numbers of the analyses, with the models they rest on', () => {
    const recipe = exampleRecipe();
    const { results } = recipeResults(recipe);
    expect(valuesByKey(results).get('cavity.backfill_aim_uL')).toBe(cavity(recipe).result!.backfill_aim_uL);
    expect(results.find(({ key }) => key === 'cavity.seat_mm')!.models).toEqual(['cavity']);
    expect(results.find(({ key }) => key === 'ramp.end.shot')!.models).toContain('cure');
    expect(results.filter(({ key }) => /^(?:mix|oven|insert)\./.test(key))).toEqual([]);
    const cured = recipeResults(
      exampleRecipe({
        'resin.mix': { base: 0.1, hardener: 0.01, tolerance: 0.05 },
        ...{
          'station.scale': 1e-5,
          'connector.free_fibre': 8e-3,
          'process.oven': [
            [0, 296.15],
            [3600, 363.15],
          ],
        },
      }),
    ).results;
    expect(valuesByKey(cured).get('mix.least_mass_g')).toBeCloseTo((0.01 / 0.05) * Math.hypot(1.1, 11), 9);
    expect(valuesByKey(cured).get('oven.conversion_end')).toBeNull(); // no kinetics
    // Euler: π²·E·(π/64)d⁴/l², 72 GPa from memory
    const buckling = (Math.PI ** 3 * 72e9 * 125e-6 ** 4) / 64 / 8e-3 ** 2;
    expect(valuesByKey(cured).get('insert.buckling_N')).toBeCloseTo(buckling, 9);
    expect(valuesByKey(cured).get('insert.last.greatest_speed_mm_s.centred')).toBeGreaterThan(0);
    const used = new Set(cured.flatMap(({ models }) => models));
    expect([...used].sort()).toEqual(Object.keys(MODEL_VERSIONS));
    expect(new Set(results.map(({ key }) => key)).size).toBe(results.length);
  });

  it('has null for what cannot be computed without a connector or a resin', () => {
    for (const block of ['connector', 'resin']) {
      const values = valuesByKey(recipeResults(exampleRecipe({ [block]: null })).results);
      expect(values.get('cavity.backfill_aim_uL') === null).toBe(block === 'connector');
      expect(values.get('ramp.end.shot')).toBeNull();
      expect(values.get('shot.volume_uL') === null).toBe(block === 'resin');
    }
    const unweighed = recipeResults(
      exampleRecipe({ 'resin.mix': { base: 0.1, hardener: 0.01, tolerance: 0.05 } }),
    ).results;
    expect(valuesByKey(unweighed).get('mix.cup.peak_C')).toBeNull(); // no scale, no cup
  });

  it('holds what the released program makes of a syringe, so that a changed ramp moves a result', () => {
    const of = (ramp: readonly unknown[] | null) =>
      recipeResults(exampleRecipe({ 'station.syringe.fill': 0.5e-6, 'settings.ramp': ramp })).results;
    const before = of([{ from_shot: 1, add: 0.03, every: 7 }]);
    const moved = movedResults(valuesByKey(before), of([{ from_shot: 1, add: 0.03, every: 6 }]));
    expect(moved.map(({ key }) => key)).toEqual(['program.worst_error_pct', 'program.last_volume_uL']);
    const kept = valuesByKey(of(null));
    expect(kept.get('program.first_volume_uL')).toBe(kept.get('shot.volume_uL'));
    expect(kept.get('program.last_volume_uL')).toBeLessThan(kept.get('program.first_volume_uL') as number);
    const free = valuesByKey(recipeResults(exampleRecipe({ 'settings.dwell': null })).results);
    expect(free.get('program.end.shot')).toBeNull();
  });

  it('what a recipe has no blocks for is null, and the rest is there', () => {
    const values = valuesByKey(recipeResults(exampleRecipe({ station: null, settings: null })).results);
    expect(values.get('cavity.seat_mm')).toBeTypeOf('number');
    expect(values.get('shot.volume_uL')).toBeNull();
    expect(values.get('setpoint.chosen.dwell_s')).toBeNull();
    expect(values.get('ramp.end.reason')).toBeNull();
  });
});

describe('movedResults', () => {
  const results = [
    { key: 'a_uL', value: 2.00001 },
    { key: 'b_pct', value: 1.5 },
    { key: 'c', value: 'age' },
    { key: 'd', value: null },
  ];
  it('lists what differs by more than its rounding, both ways', () => {
    const old = new Map<string, number | string | null>([
      ['a_uL', 2],
      ['b_pct', 1.4],
      ['c', 'syringe'],
      ['d', null],
      ['gone', 3],
      ['never', null],
    ]);
    expect(movedResults(old, results).map(resultChangeText)).toEqual([
      'b_pct 1.4 → 1.5',
      'c syringe → age',
      'gone 3 → –',
    ]);
    expect(movedResults(new Map([['a_uL', 1]]), results.slice(0, 1)).map(resultChangeText)).toEqual([
      'a_uL 1 → 2 (+100 %)',
    ]);
  });
});

describe('takeResults', () => {
  it('takes values by key, each analysis once', () => {
    const recipe = exampleRecipe();
    const { values, failed, unknown } = takeResults(recipe, [
      'cavity.seat_mm',
      'cavity.sections[1].part',
      'ramp.end.reason',
    ]);
    expect(values).toEqual([cavity(recipe).result!.seat_mm, 'lead-in', expect.any(String)]);
    expect({ failed, unknown }).toEqual({ failed: false, unknown: [] });
  });

  it('asks the analysis that the key begins with', () => {
    const recipe = exampleRecipe({ 'connector.free_fibre': 8e-3 });
    const own = {
      'cavity.bore_shot_uL': cavity(recipe).result!.bore_shot_uL,
      'shot.volume_uL': shot(recipe).result!.volume_uL,
      'setpoint.chosen.dwell_s': setpoint(recipe).result!.chosen.dwell_s,
      'ramp.end.age_min': ramp(recipe).result!.end.age_min,
      'gauge.rings[1].diameter_mm': gauge(recipe).result!.rings[1]!.diameter_mm,
      'insert.buckling_N': insert(recipe).result!.buckling_N,
    };
    expect(takeResults(recipe, Object.keys(own)).values).toEqual(Object.values(own));
    expect(Object.values(own).every(value => typeof value === 'number')).toBe(true);
  });

  it('a result that cannot be computed is null and failed; a block that does not apply is null alone', () => {
    const none = takeResults(exampleRecipe({ settings: null }), ['shot.volume_uL']);
    expect(none).toMatchObject({ values: [null], failed: true, unknown: [] });
    expect(none.findings.some(({ severity }) => severity === 'error')).toBe(true);
    const loose = takeResults(exampleRecipe({ 'resin.dot': null }), ['shot.dot_diameter_mm', 'shot.volume_uL']);
    expect(loose).toMatchObject({ values: [null, expect.any(Number)], failed: false, unknown: [] });
  });

  it('says what is no key, and what was probably meant', () => {
    expect(keyProblem('shot.volume_uL')).toBeNull();
    expect(keyProblem('shott.volume_uL')).toMatch(/did you mean "shot"\?$/);
    expect(keyProblem('nothing')).toMatch(/keys start with cavity, shot/);
    expect(keyProblem('shot')).toMatch(/is a whole result/);
    expect(keyProblem('a b')).toMatch(/is no key/);
    const recipe = exampleRecipe();
    expect(takeResults(recipe, ['shot.volme_uL', 'ramp.program', 'shot.hold_back']).unknown).toEqual([
      'shot.volme_uL',
      'ramp.program',
      'shot.hold_back',
    ]);
    expect(unknownKeyText(recipe, 'shot.volme_uL')).toBe(
      '"shot.volme_uL" is no key of shot: did you mean "shot.volume_uL"?',
    );
    expect(unknownKeyText(recipe, 'ramp.program')).toMatch(
      /more than one value; take ramp\.program\.stages\[0\]\.from_shot/,
    );
  });
});
