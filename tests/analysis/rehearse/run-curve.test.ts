import { describe, expect, it } from 'vitest';
import { planRehearsal } from '../../../src/analysis/rehearse/rehearsal.ts';
import { exactVolumes, runCurve } from '../../../src/analysis/rehearse/run-curve.ts';
import { settingsOf } from '../../../src/analysis/release/shots-left.ts';
import { randomSource } from '../../../src/numeric/random.ts';
import { demoRecipe } from './demo-recipes.ts';

/** A cone and Cross, a power law and a cure table with slow air, a flow curve with lagging air, a yield stress. */
const DEAR = [
  'seabed-junction-tail.yaml',
  'hydrophone-array-tail.yaml',
  'salinity-probe-pigtail.yaml',
  'wave-buoy-pigtail.yaml',
];

describe('the run of a syringe from some of its shots', () => {
  it.each(DEAR)('is that of the models one by one: %s', async name => {
    const recipe = await demoRecipe(name);
    const plan = planRehearsal(recipe, { method: { kind: 'masses', readings: 3, shots: 5 } }).result!;
    const { line, model, program } = plan;
    const { shots } = plan.ahead;
    const settings = settingsOf(program, shots);
    const random = randomSource(5);
    for (let syringe = 0; syringe < 3; syringe++) {
      expect(line.syringe(random)).toBe(true);
      const exact = exactVolumes(line, shots, settings);
      const thickness = model.thicknessOf(exact.still(0), shots[0]!, settings[0]!)!;
      const asThick = shots.map((moment, i) => model.deliver(thickness, moment, settings[i]!));
      const curve = runCurve(line, { shots, settings, asThick })!;
      for (let i = 0; i < shots.length; i += 7) {
        while (!line.connector(random));
        // A half of what a station's finest step moves, and far below what a connector differs by.
        expect(Math.abs(curve.still(i) / exact.still(i) - 1)).toBeLessThan(1e-3);
        expect(Math.abs(curve.shot(i) / exact.shot(i) - 1)).toBeLessThan(1e-3);
      }
    }
  });

  it('is left to the models where it does not do', async () => {
    const recipe = await demoRecipe('tide-gauge-pigtail.yaml'); // one product: nothing is dear
    const { line, ahead, program, model } = planRehearsal(recipe, { method: { kind: 'dots', readings: 3 } }).result!;
    line.syringe(randomSource(1));
    const settings = settingsOf(program, ahead.shots);
    const asThick = ahead.shots.map((moment, i) => model.deliver(1, moment, settings[i]!));
    expect(runCurve(line, { shots: ahead.shots, settings, asThick })).toBeNull();
  });
});
