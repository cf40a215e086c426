import { describe, expect, it } from 'vitest';
import { batch } from '../../../src/analysis/batch/batch.ts';
import { mixedByClock } from '../../../src/analysis/delivery/room.ts';
import { ramp } from '../../../src/analysis/ramp/ramp.ts';
import type { Recipe } from '../../../src/recipe/schema/recipe.ts';
import { exampleRecipe } from '../../helpers/recipe-builder.ts';

const hour = 3600;
const CURE = { model: 'pot-life', time: 3600, factor: 2, activation_energy: 60e3 };
const SHIFTS = [{ from: 6 * hour, to: 18 * hour }];
const leaf = (value: number) => ({ value, path: 'process.room', source: 'x' });

function inRoom(points: readonly (readonly [number, number])[]): Recipe {
  const recipe = exampleRecipe({ 'resin.cure': CURE, 'process.temperature': 296.15 });
  const room = points.map(([hours, celsius]) => [hours * hour, leaf(celsius + 273.15)] as const);
  return { ...recipe, process: { ...recipe.process!, room } };
}

describe('a batch in a room that warms', () => {
  const hot = inRoom([
    [6, 16],
    [16, 32],
  ]);

  it('uses no syringe beyond the last age of its own time of mixing', () => {
    const { result } = batch(hot, { connectors: 900, shifts: SHIFTS, prefer: 'finish' });
    const ages = result!.schedule.map(({ mixed_at_min, last_age_min, ended_by }) => {
      const placed = mixedByClock(hot, mixed_at_min * 60, 'x').result!;
      const run = ramp(placed).result!;
      return { ended_by, used: last_age_min, most: run.end.age_min };
    });
    expect(ages.length).toBeGreaterThan(5);
    for (const { used, most } of ages) expect(used).toBeLessThanOrEqual(most + 1e-9);
    // Warm kits end sooner: the afternoon's by a good deal.
    expect(ages[0]!.most / Math.min(...ages.map(({ most }) => most))).toBeGreaterThan(1.5);
    // and what is laid aside as too old is within a takt and the grid's ten minutes of its last age
    for (const { used, most, ended_by } of ages.slice(0, -1)) {
      if (ended_by === 'viscosity_factor') expect(most - used).toBeLessThan(2);
    }
    const least = Math.min(...ages.map(({ most }) => most));
    expect(result!.last_age_min! - least).toBeLessThan(40 / 60); // the run's last shot is within a takt of it
    expect(result!.last_age_min).toBeGreaterThan(least - 2);
    expect(result!.assumptions.join(' ')).toContain('process.room');
  });

  it('waits for the cool of the morning where least waste is asked for', () => {
    const { result } = batch(hot, { connectors: 700, shifts: SHIFTS });
    for (const { at } of result!.mixes) expect(at < '08:00').toBe(true);
    expect(result!.kits).toBeLessThan(batch(hot, { connectors: 700, shifts: SHIFTS, prefer: 'finish' }).result!.kits);
  });

  it('of one temperature is what it is without a clock', () => {
    const options = { connectors: 400, shifts: SHIFTS };
    const plain = batch(exampleRecipe({ 'resin.cure': CURE, 'process.temperature': 296.15 }), options).result!;
    const steady = batch(inRoom([[9, 23]]), options).result!;
    expect(steady.kits).toBe(plain.kits);
    expect(steady.schedule.map(({ connectors }) => connectors)).toEqual(
      plain.schedule.map(({ connectors }) => connectors),
    );
  });

  it('plans work that never rests as well', () => {
    const { result } = batch(hot, { connectors: 300, start: 8 * hour });
    for (const { mixed_at_min, last_age_min } of result!.schedule) {
      const placed = mixedByClock(hot, mixed_at_min * 60, 'x').result!;
      expect(last_age_min).toBeLessThanOrEqual(ramp(placed).result!.end.age_min + 1e-9);
    }
  });
});
