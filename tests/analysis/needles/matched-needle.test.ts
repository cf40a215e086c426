import { describe, expect, test } from 'vitest';
import { matchedNeedle, ownD4PerLength } from '../../../src/analysis/needles/matched-needle.ts';
import { AHEAD, BEAD, bookAndPoint, NET, needleResistance, plainRecipe, SET, VISCOSITY } from './narrow-connector.ts';

const { PI } = Math;
const BORE_22 = 0.4128e-3; // 0.01625 in, as tables round it
const LENGTH = 12.7e-3;

function matched(overrides: Record<string, unknown> = {}) {
  const recipe = plainRecipe(overrides);
  const { book, point } = bookAndPoint(recipe);
  const result = matchedNeedle(recipe, { book, pressure: SET, conditions: {} });
  return { book, point, result };
}

/** Volume of the backfill in the time of the bore shot through a needle of that resistance. */
function shared(needle: number): number {
  const time = (needle * AHEAD.volume + AHEAD.weighted + (needle + AHEAD.resistance) * BEAD) / NET;
  return (NET / needle) * time;
}

describe('the needle that serves bore shot and backfill with one dwell', () => {
  test('has the resistance R (aim − bore shot) = ∫ R filled dV + R ahead · bead, worked out by slices', () => {
    const { book, result } = matched();
    const aim = book.backfill.aim!;
    const needle = (AHEAD.weighted + AHEAD.resistance * BEAD) / (aim - AHEAD.volume - BEAD);
    expect((result!.d4_per_length_mm3 * 1e-9) / ((128 * VISCOSITY) / (PI * needle))).toBeCloseTo(1, 4);
    expect(shared(needle) / aim).toBeCloseTo(1, 9); // the same by the other way round
  });

  test('says how far the own needle is off', () => {
    const { book, point, result } = matched();
    const own = needleResistance(BORE_22, LENGTH);
    expect(ownD4PerLength(point) / ((128 * VISCOSITY) / (PI * own))).toBeCloseTo(1, 4);
    expect(result!.own_d4_per_length_mm3).toBeCloseTo(ownD4PerLength(point) * 1e9, 12);
    expect(1 + result!.own_shared_dwell_error_pct / 100).toBeCloseTo(shared(own) / book.backfill.aim!, 3);
  });

  test('lists real needles of the own length, the nearest first, each with the length at which its bore would match', () => {
    const { needles, d4_per_length_mm3: wanted } = matched().result!;
    const off = needles.map(n => Math.abs(Math.log(1 + n.shared_dwell_error_pct / 100)));
    expect(off).toEqual([...off].sort((a, b) => a - b));
    for (const n of needles) {
      expect(n.length_mm).toBeCloseTo(12.7, 9);
      expect(n.d4_per_length_mm3).toBeCloseTo(n.bore_mm ** 4 / (12.7 + ((3 * PI) / 32) * n.bore_mm), 9);
      if (n.matching_length_mm === null) continue;
      expect(n.bore_mm ** 4 / (n.matching_length_mm + ((3 * PI) / 32) * n.bore_mm) / wanted).toBeCloseTo(1, 9);
    }
  });

  test('does not depend on pressure or viscosity', () => {
    const thick = matched({ 'resin.rheology.viscosity': 3 * VISCOSITY });
    expect(thick.result!.d4_per_length_mm3 / matched().result!.d4_per_length_mm3).toBeCloseTo(1, 9);
  });

  test('is none where the backfill is no larger than the bore shot', () => {
    const { book, result } = matched({ 'connector.reach': { min: 6.02e-3, max: 6.05e-3 } });
    expect(book.backfill.aim!).toBeLessThan(book.boreShot!);
    expect(result).toBeNull();
  });
});
