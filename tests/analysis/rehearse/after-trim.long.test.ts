import { describe, expect, it } from 'vitest';
import { rehearse } from '../../../src/analysis/rehearse/rehearse.ts';
import { spread } from '../../../src/analysis/rehearse/spread.ts';
import { DEMO, demoRecipe } from './demo-recipes.ts';

/** Quick enough for samples that tell a tenth of Cpk. */
const QUICK = [
  'tide-gauge-pigtail.yaml',
  'tide-gauge-pigtail-calibrated.yaml',
  'wave-buoy-pigtail.yaml',
  'cold-store-pigtail.yaml',
  'current-meter-pigtail.yaml',
  'practice-shots.yaml',
  'hydrophone-pigtail.yaml',
];

describe('the spread after trim and a rehearsal of its own seed', () => {
  it.each(QUICK)('agree on Cpk within a tenth, counted and drawn, and on the share outside: %s', async name => {
    expect(DEMO).toContain(name);
    const recipe = await demoRecipe(name);
    const after = spread(recipe, { samples: 30_000, seed: 1 }).result!.after_trim!;
    const { result } = rehearse(recipe, { samples: 600, seed: 2 });
    expect(Math.abs(after.monte_carlo.cpk! / result!.cpk! - 1)).toBeLessThan(0.1);
    expect(Math.abs(after.first_order.cpk! / result!.cpk! - 1)).toBeLessThan(0.1);
    const [low, high] = result!.outside_interval_pct!;
    const error = 2 * (after.monte_carlo.outside_error_pct ?? 0);
    expect(after.monte_carlo.outside_pct!).toBeGreaterThanOrEqual(low - error - 1e-9);
    expect(after.monte_carlo.outside_pct!).toBeLessThanOrEqual(high + error + 1e-9);
  });
});
