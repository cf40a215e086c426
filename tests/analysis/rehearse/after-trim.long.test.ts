import { describe, expect, it } from 'vitest';
import { rehearse } from '../../../src/analysis/rehearse/rehearse.ts';
import { afterTrimOf } from './after-trim-of.ts';
import { DEMO, demoRecipe } from './demo-recipes.ts';

describe('the spread after trim and a rehearsal of its own seed', () => {
  it.each(DEMO)('agree on Cpk within a tenth, counted and drawn, and on the share outside: %s', async name => {
    const recipe = await demoRecipe(name);
    const after = afterTrimOf(recipe, { syringes: 300, seed: 1 });
    const { result } = rehearse(recipe, { samples: 400, seed: 2 });
    expect(Math.abs(after.monte_carlo.cpk! / result!.cpk! - 1)).toBeLessThan(0.1);
    expect(Math.abs(after.first_order.cpk! / result!.cpk! - 1)).toBeLessThan(0.1);
    // Two samples of the same line: their intervals have something in common.
    const [low, high] = result!.outside_interval_pct!;
    const [least, most] = after.rehearsal!.outside_interval_pct!;
    expect(most).toBeGreaterThanOrEqual(low);
    expect(least).toBeLessThanOrEqual(high);
  });
});
