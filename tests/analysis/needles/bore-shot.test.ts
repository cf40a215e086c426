import { describe, expect, test } from 'vitest';
import { boreKeys, boreMarch, rectangleFindings } from '../../../src/analysis/needles/bore-shot.ts';
import { AHEAD, BEAD, bookAndPoint, NET, needleResistance, plainRecipe, SET, VISCOSITY } from './narrow-connector.ts';

const BORE_22 = 0.4128e-3; // 0.01625 in, as tables round it
const needle = needleResistance(BORE_22, 12.7e-3);

function keysOf(dwell: number, overrides: Record<string, unknown> = {}, pressure = SET) {
  const recipe = plainRecipe(overrides);
  const { book, point } = bookAndPoint(recipe);
  const march = boreMarch(recipe, book, point, pressure)!;
  return boreKeys(march, dwell, { ...book, wantedBead: book.wantedBead! });
}

describe('the bore shot', () => {
  test('takes the time of Poiseuille through needle, cone and bore, the front moving: t = ∫ (R needle + R filled) dV/p', () => {
    const toBead = (needle * AHEAD.volume + AHEAD.weighted) / NET;
    const toWanted = toBead + ((needle + AHEAD.resistance) * BEAD) / NET;
    const keys = keysOf(toWanted);
    expect(keys.time_to_bead_s! / toBead).toBeCloseTo(1, 4);
    expect(keys.time_to_wanted_bead_s! / toWanted).toBeCloseTo(1, 4);
    expect(keys.bead_diameter_mm).toBeCloseTo(0.5, 4);
    expect(keys.needle_share_pct! / ((100 * needle) / (needle + AHEAD.resistance))).toBeCloseTo(1, 4);
    expect(keys.stopped_at_mm).toBeNull();
  });

  test('has no bead before the front is there, and one that grows with the cube root of its time after', () => {
    const { time_to_bead_s: first } = keysOf(0);
    expect(keysOf(0.99 * first!).bead_diameter_mm).toBeNull();
    const [one, eight] = [0.1, 0.8].map(after => keysOf(first! + after).bead_diameter_mm!);
    expect(eight! / one!).toBeCloseTo(2, 6); // eight times the volume of a cap of the same angle
  });

  test('goes with viscosity over pressure', () => {
    const thick = keysOf(1, { 'resin.rheology.viscosity': 2 * VISCOSITY }, 3e3 + 2 * NET);
    expect(thick.time_to_wanted_bead_s! / keysOf(1).time_to_wanted_bead_s!).toBeCloseTo(1, 9);
  });

  test('goes nowhere at the friction of the plunger, and does not know a rectangle with a resin that is not Newtonian', () => {
    const recipe = plainRecipe();
    const { book, point } = bookAndPoint(recipe);
    expect(boreMarch(recipe, book, point, 3e3)).toBeNull();
    expect(rectangleFindings(book, point)).toEqual([]);
  });
});
