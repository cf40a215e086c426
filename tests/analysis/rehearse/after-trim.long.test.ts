import { describe, expect, it } from 'vitest';
import { rehearse } from '../../../src/analysis/rehearse/rehearse.ts';
import { spread } from '../../../src/analysis/rehearse/spread.ts';
import { DEMO, demoRecipe } from './demo-recipes.ts';

/** Syringes that tell a tenth of Cpk: fewer where one is dear. */
const SYRINGES = new Map([
  ['seabed-junction-tail.yaml', 300],
  ['hydrophone-array-tail.yaml', 300],
  ['salinity-probe-pigtail.yaml', 300],
]);

describe('the spread after trim and a rehearsal of its own seed', () => {
  it.each(DEMO)('agree on Cpk within a tenth, counted and drawn, and on the share outside: %s', async name => {
    const recipe = await demoRecipe(name);
    const after = spread(recipe, { samples: 30_000, seed: 1 }).result!.after_trim!;
    const { result } = rehearse(recipe, { samples: SYRINGES.get(name) ?? 600, seed: 2 });
    expect(Math.abs(after.monte_carlo.cpk! / result!.cpk! - 1)).toBeLessThan(0.1);
    expect(Math.abs(after.first_order.cpk! / result!.cpk! - 1)).toBeLessThan(0.1);
    const [low, high] = result!.outside_interval_pct!;
    const error = 2 * (after.monte_carlo.outside_error_pct ?? 0);
    expect(after.monte_carlo.outside_pct!).toBeGreaterThanOrEqual(low - error - 1e-9);
    expect(after.monte_carlo.outside_pct!).toBeLessThanOrEqual(high + error + 1e-9);
  });
});
