import { describe, expect, it } from 'vitest';
import { ageOfShot, shotAtAge } from '../../../src/analysis/program/shot-clock.ts';
import {
  partInForce,
  releasedProgram,
  settingAt,
  settingInForce,
} from '../../../src/analysis/setpoint/program-in-force.ts';
import { setpoint } from '../../../src/analysis/setpoint/setpoint.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

// ready after 12 min, a takt of 40 s; released are 210 kPa and 0.53 s, 0.02 s more every 4
describe('the clock of a syringe', () => {
  const recipe = exampleRecipe();

  it('makes the first shot at ready_after and one more every takt', () => {
    expect(ageOfShot(recipe, 1)).toBe(720);
    expect(ageOfShot(recipe, 10)).toBe(720 + 9 * 40);
  });

  it('gives an age to the nearest shot, and never to one before the first', () => {
    expect([0, 720, 739.9, 740, 779.9, 780].map(age => shotAtAge(recipe, age))).toEqual([1, 1, 1, 2, 2, 3]);
    for (const shot of [1, 2, 17, 73]) expect(shotAtAge(recipe, ageOfShot(recipe, shot))).toBe(shot);
  });

  it('knows the first shot alone without a takt', () => {
    const timeless = exampleRecipe({ 'process.takt': null });
    expect(shotAtAge(timeless, 3600)).toBe(1);
    expect(ageOfShot(timeless, 5)).toBe(720);
  });
});

describe('the released program', () => {
  it('adds after every so many presses', () => {
    const program = releasedProgram(exampleRecipe())!;
    expect([1, 4, 5, 9].map(shot => settingAt(program, shot))).toEqual(
      [0.53, 0.53, 0.55, 0.57].map(dwell => ({ pressure: 210e3, dwell })),
    );
  });

  it('counts two presses a connector where the bore shot is one by dwell, the backfill being the second', () => {
    const program = releasedProgram(exampleRecipe({ 'process.bore_shot': 'by_dwell' }))!;
    // presses 2, 4 | 6, 8 | 10: the addition comes after four presses
    expect([1, 2, 3, 4, 5].map(shot => settingAt(program, shot).dwell)).toEqual([0.53, 0.53, 0.55, 0.55, 0.57]);
  });

  it('is none where pressure or dwell is missing', () => {
    for (const key of ['pressure', 'dwell']) {
      expect(releasedProgram(exampleRecipe({ [`settings.${key}`]: null }))).toBeNull();
    }
  });
});

describe('the setting in force', () => {
  it('is the released one', () => {
    expect(settingInForce(exampleRecipe()).result).toEqual({ pressure: 210e3, dwell: 0.53, from: 'settings' });
  });

  it('is the setpoint where nothing is released', () => {
    const recipe = exampleRecipe({ settings: null });
    const { pressure_kPa, dwell_s } = setpoint(recipe).result!.chosen;
    const { result } = settingInForce(recipe);
    expect(result).toMatchObject({ dwell: dwell_s, from: 'setpoint' });
    expect(result!.pressure).toBeCloseTo(pressure_kPa * 1e3, 6);
    expect(partInForce(recipe, 'pressure').result).toBe(result!.pressure);
  });

  it('keeps a released pressure, but no dwell whose pressure is not released', () => {
    const pressed = exampleRecipe({ 'settings.dwell': null });
    const { dwell_s } = setpoint(pressed, { pressure: 210e3 }).result!.chosen;
    expect(settingInForce(pressed).result).toEqual({ pressure: 210e3, dwell: dwell_s, from: 'setpoint' });
    const timed = exampleRecipe({ 'settings.pressure': null });
    expect(settingInForce(timed).result).toEqual(settingInForce(exampleRecipe({ settings: null })).result);
  });
});
