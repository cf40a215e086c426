import { describe, expect, it } from 'vitest';
import { mixedByClock } from '../../../src/analysis/delivery/room.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import { parseRecipe } from '../../../src/recipe/format/load.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';
import { memoryFiles } from '../../recipe/memory-files.ts';

const R = 8.31446261815324;
const hour = 3600;
const leaf = (value: number) => ({ value, path: 'process.room', source: 'x' });

/** The example with a room by the clock: [hours, °C]. */
function inRoom(points: readonly (readonly [number, number])[], overrides: Record<string, unknown> = {}): Recipe {
  const cure = { model: 'pot-life', time: 3600, factor: 2, activation_energy: 60e3 };
  const recipe = exampleRecipe({ 'resin.cure': cure, ...overrides });
  const room = points.map(([hours, celsius]) => [hours * hour, leaf(celsius + 273.15)] as const);
  return { ...recipe, process: { ...recipe.process!, room } };
}

const WARMING = [
  [6, 18],
  [14, 26],
] as const;

/** By hand, in °C: 18 at six, 26 at two in the afternoon, and down again through the night. */
function byHand(hours: number): number {
  const h = ((hours % 24) + 24) % 24;
  if (h >= 6 && h <= 14) return 18 + (8 * (h - 6)) / 8;
  return 26 - (8 * ((h < 6 ? h + 24 : h) - 14)) / 16;
}

describe('a room by the clock', () => {
  it.each([7.5, 13, 14, 20, 2])('is followed from the mixing at %s h on, round midnight', at => {
    const profile = mixedByClock(inRoom(WARMING), at * hour, 'x').result!.process!.temperature as {
      profile: readonly (readonly [{ value: number }, { value: number }])[];
    };
    for (const [age, temperature] of profile.profile) {
      expect(temperature.value - 273.15).toBeCloseTo(byHand(at + age.value / hour), 9);
    }
    const ages = profile.profile.map(([age]) => age.value);
    expect(ages[0]).toBe(0);
    expect(ages.every((age, i) => i === 0 || age > ages[i - 1]!)).toBe(true);
    expect(ages.at(-1)).toBeGreaterThan(24 * hour);
  });

  it('thickens a run as a plain sum along the day does', () => {
    const { result } = ramp(inRoom(WARMING), { mixedAt: 8 * hour });
    const last = result!.shots.at(-1)!;
    const steps = 20_000;
    let growth = 0;
    for (let i = 0; i < steps; i++) {
      const kelvin = byHand(8 + (last.age_min / 60) * ((i + 0.5) / steps)) + 273.15;
      growth += (Math.exp((-60e3 / R) * (1 / kelvin - 1 / 298.15)) * last.age_min) / 60 / steps;
    }
    expect(last.viscosity_factor).toBeCloseTo(2 ** growth, 7);
    expect(result!.mixed_at_min).toBe(480);
    expect(result!.room_C![1]).toBeCloseTo(byHand(8 + last.age_min / 60), 9);
  });

  it('that stays the same is that temperature', () => {
    const steady = ramp(inRoom([[9, 23]]), { mixedAt: 4 * hour }).result!;
    const plain = ramp(inRoom([[9, 23]], { 'process.temperature': 296.15 })).result!;
    expect(steady.shots).toHaveLength(plain.shots.length);
    for (const [i, shot] of steady.shots.entries()) expect(shot.dwell_s).toBeCloseTo(plain.shots[i]!.dwell_s, 9);
  });

  it('counts only where a run is placed on the clock, and is asked for there', () => {
    expect(ramp(inRoom(WARMING)).result).toEqual(ramp(inRoom([])).result);
    const { findings } = ramp(exampleRecipe(), { mixedAt: 0 });
    expect(findings.map(({ code, path }) => [code, path])).toEqual([['block-missing', 'process.room']]);
  });

  it.each([
    ['[[06:00, 18 degC], [14:00, 26 degC]]', []],
    ["[['6:00', 18 ± 1 degC]]", []],
    ['[]', ['value-type process.room']],
    ['[[6, 18 degC]]', ['value-type process.room[0][0]']],
    ['[[24:00, 18 degC]]', ['value-type process.room[0][0]']],
    ['[[06:00, 18]]', ['unit-missing process.room[0][1]']],
    ['[[06:00]]', ['value-type process.room[0]']],
    ['[[14:00, 18 degC], [06:00, 20 degC]]', ['order-wrong process.room[1][0]']],
  ])('is written as %s', async (text, expected) => {
    const { findings, recipe } = await parseRecipe(`recipe: 1\nprocess:\n  room: ${text}\n`, 'a.yaml', memoryFiles({}));
    expect(findings.map(({ code, path }) => `${code} ${path}`)).toEqual(expected);
    if (expected.length === 0)
      expect(recipe!.process!.room![0]).toEqual([6 * hour, expect.objectContaining({ value: 291.15 })]);
  });
});
