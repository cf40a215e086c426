import { describe, expect, it } from 'vitest';
import { type AirModel, makeAirPulse } from '../../../src/physics/air/air.ts';
import { makeNeedle } from '../../../src/physics/flow/needle-flow.ts';
import { MODELS, relative } from '../flow/flow-models.ts';

const AIRS: AirModel[] = [
  { model: 'first-order', rise: 0.06, fall: 0.08, delay: 0.01 },
  { model: 'first-order', rise: 0, fall: 0.08, delay: 0 },
  {
    ...{ model: 'iso6358', conductance: 2e-8, criticalRatio: 0.3, exhaustConductance: 1e-8, exhaustCriticalRatio: 0.4 },
    ...{ ventTo: -3e3, exponent: 1.2 },
  },
];
const SECTIONS = [
  { front: 1.6e-3, rear: 0.6e-3, length: 18e-3 },
  { front: 0.5e-3, rear: 0.5e-3, length: 2e-3 },
];

/* The adaptive rule finds kinks by itself, at the cost of many intervals; it is held to 1e-6 of a shot. */
describe.each(AIRS)('a pulse of air, $model', air => {
  it.each(['table', 'table, uneven'])('delivers the same where it is told the kinks of a %s', name => {
    const needle = makeNeedle({ rheology: MODELS[name]!, sections: SECTIONS });
    expect(needle.kinks().length).toBe(9); // three inner points at three radii
    for (const setPressure of [30e3, 210e3]) {
      const input = {
        ...{ air, setPressure, flow: needle.flow, friction: 3e3, volume: 4e-6 },
        ...{ atmosphere: 101_325, temperature: 293 },
      };
      const told = makeAirPulse({ ...input, kinks: needle.kinks() });
      const untold = makeAirPulse(input);
      for (const dwell of [0.07, 0.3]) {
        const [a, b] = [told.shot(dwell), untold.shot(dwell)];
        if (b.volume === 0) expect(a.volume).toBe(0);
        else expect(relative(a.volume, b.volume)).toBeLessThan(1e-7);
        if (b.ooze > 0) expect(relative(a.ooze, b.ooze)).toBeLessThan(1e-6);
      }
      // and whatever was asked before
      expect(told.shot(0.07)).toEqual(makeAirPulse({ ...input, kinks: needle.kinks() }).shot(0.07));
    }
  });
});
