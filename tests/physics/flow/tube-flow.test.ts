import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { tubeFlowRate } from '../../../src/physics/flow/tube-flow.ts';
import { wallCurve } from '../../../src/physics/flow/wall-curve.ts';
import { type Rheology, yieldStressOf } from '../../../src/physics/rheology/rheology.ts';
import { shearRateAt } from '../rheology/shear-rate-at.ts';
import { MODELS, relative } from './flow-models.ts';
import { flowByRate, flowByStress } from './rabinowitsch.ts';
import * as closed from './tube-flow-closed-forms.ts';
import { wallStressForFlow } from './wall-stress-for-flow.ts';

const RADIUS = 2e-4; // [m]
const STRESSES = [1, 61, 86, 200, 2000, 20_000]; // [Pa], around and far above the yield stresses

/** Volume flow by summing rings of a velocity profile that is itself summed inwards from the wall: trapezoids only. */
function flowFromProfile(rheology: Rheology, wallShearStress: number, steps = 4000): number {
  const dr = RADIUS / steps;
  let rateOutside = shearRateAt(rheology, wallShearStress);
  let velocity = 0;
  let flow = 0;
  for (let i = steps - 1; i >= 0; i--) {
    const r = i * dr;
    const rate = shearRateAt(rheology, (wallShearStress * r) / RADIUS);
    const inner = velocity + 0.5 * (rate + rateOutside) * dr;
    flow += 0.5 * (velocity * (r + dr) + inner * r) * 2 * Math.PI * dr;
    velocity = inner;
    rateOutside = rate;
  }
  return flow;
}

describe.each(Object.entries(MODELS))('tube flow of %s', (_, rheology) => {
  it('agrees with the Rabinowitsch integral over stress and over shear rate to 1e-8', () => {
    for (const wallShearStress of STRESSES) {
      const tube = { rheology, radius: RADIUS, wallShearStress };
      const flow = tubeFlowRate(tube);
      if (wallShearStress <= yieldStressOf(rheology)) {
        expect([flow, flowByStress(tube), flowByRate(tube)]).toEqual([0, 0, 0]);
      } else {
        expect(relative(flowByStress(tube), flow)).toBeLessThan(1e-8);
        expect(relative(flowByRate(tube), flow)).toBeLessThan(1e-8);
      }
    }
  });

  it('agrees with a velocity profile summed ring by ring', () => {
    for (const wallShearStress of [300, 3000]) {
      const flow = tubeFlowRate({ rheology, radius: RADIUS, wallShearStress });
      // trapezoids of 1/4000 radius, halved where the profile has a corner
      expect(relative(flowFromProfile(rheology, wallShearStress), flow)).toBeLessThan(2e-6);
    }
  });

  it('comes back from flow to wall stress', () => {
    fc.assert(
      fc.property(fc.double({ min: -3, max: 5, noNaN: true }), exponent => {
        const wallShearStress = yieldStressOf(rheology) + 10 ** exponent;
        const flow = tubeFlowRate({ rheology, radius: RADIUS, wallShearStress });
        return relative(wallStressForFlow({ rheology, radius: RADIUS, flow }), wallShearStress) < 1e-12;
      }),
      { seed: 1 },
    );
    expect(wallStressForFlow({ rheology, radius: RADIUS, flow: 0 })).toBe(yieldStressOf(rheology));
  });

  it('refuses a stress or flow below zero or without end', () => {
    const curve = wallCurve(rheology);
    for (const bad of [-1, -1e-300, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NaN]) {
      expect(() => curve.atStress(bad), String(bad)).toThrow(/stress = .*finite and not below zero/);
      expect(() => curve.atExcess(bad), String(bad)).toThrow(/excess = .*finite and not below zero/);
      expect(() => curve.atReducedFlow(bad), String(bad)).toThrow(/reducedFlow = .*finite and above zero/);
    }
    expect(() => curve.atReducedFlow(0)).toThrow(/reducedFlow = 0/);
    for (const at of [curve.atStress(0), curve.atExcess(0)]) {
      expect(at).toMatchObject({ excess: 0, shearRate: 0, reducedFlow: 0 });
    }
  });

  it('has a slope that fits its own wall shear rate: dq/dτ = (γ̇w − 3q)/τ', () => {
    const curve = wallCurve(rheology);
    for (const stress of [150, 1500]) {
      const { shearRate, reducedFlow } = curve.atStress(stress);
      const step = stress * 1e-4;
      const slope =
        (curve.atStress(stress + step).reducedFlow - curve.atStress(stress - step).reducedFlow) / (2 * step);
      expect(relative(slope, (shearRate - 3 * reducedFlow) / stress)).toBeLessThan(1e-5); // central difference
    }
  });
});

describe('closed forms', () => {
  const tube = { pressureDrop: 1e5, radius: 1e-3, length: 0.1 }; // τw = 500 Pa

  it('give hand values', () => {
    // π·1e5·1e-12/(8·10·0.1) = π/8·1e-7
    expect(relative(closed.newtonianTubeFlowRate({ ...tube, viscosity: 10 }), (Math.PI / 8) * 1e-7)).toBeLessThan(
      1e-14,
    );
    // π·1e-9·0.2·50² = (π/2)·1e-6
    const powerLaw = closed.powerLawTubeFlowRate({ ...tube, consistency: 10, flowIndex: 0.5 });
    expect(relative(powerLaw, (Math.PI / 2) * 1e-6)).toBeLessThan(1e-14);
    // φ = 1/2: bracket 1 − 2/3 + 1/48 = 17/48
    const bingham = closed.binghamTubeFlowRate({ ...tube, yieldStress: 250, viscosity: 10 });
    expect(relative(bingham, ((Math.PI / 8) * 1e-7 * 17) / 48)).toBeLessThan(1e-14);
    // σ = 1/2: bracket 1 − 8/7 + 1/3 − 1/5376
    const casson = closed.cassonTubeFlowRate({ ...tube, yieldStress: 125, viscosity: 10 });
    expect(relative(casson, (Math.PI / 8) * 1e-7 * (1 - 8 / 7 + 1 / 3 - 1 / 5376))).toBeLessThan(1e-13);
  });

  it('are what tubeFlowRate gives', () => {
    for (const pressureDrop of [2e3, 1.3e4, 1e5, 3e6]) {
      const t = { ...tube, pressureDrop };
      const wallShearStress = (pressureDrop * tube.radius) / (2 * tube.length);
      const same = (flow: number, rheology: Rheology) => {
        const general = tubeFlowRate({ rheology, radius: tube.radius, wallShearStress });
        if (flow === 0) expect(general).toBe(0);
        else expect(relative(general, flow)).toBeLessThan(1e-12);
      };
      same(closed.newtonianTubeFlowRate({ ...t, viscosity: 10 }), { model: 'newtonian', viscosity: 10 });
      const power = { consistency: 10, flowIndex: 0.4 };
      same(closed.powerLawTubeFlowRate({ ...t, ...power }), { model: 'power-law', ...power });
      const plastic = { yieldStress: 60, viscosity: 3 };
      same(closed.binghamTubeFlowRate({ ...t, ...plastic }), { model: 'bingham', ...plastic });
      same(closed.cassonTubeFlowRate({ ...t, ...plastic }), { model: 'casson', ...plastic });
      const paste = { yieldStress: 60, consistency: 10, flowIndex: 0.4 };
      same(closed.herschelBulkleyTubeFlowRate({ ...t, ...paste }), { model: 'herschel-bulkley', ...paste });
    }
  });

  it('keep their digits just above the yield stress, where the textbook brackets cancel', () => {
    // Bingham: bracket → 2(1 − φ)²; Casson: bracket → (8/3)(1 − σ)³ with 1 − σ ≈ (1 − φ)/2; next terms are of order 1 − φ
    const above = 1e-6;
    const plastic = { ...tube, yieldStress: 500 / (1 + above), viscosity: 10 };
    const newtonian = closed.newtonianTubeFlowRate({ ...tube, viscosity: 10 });
    const bingham = closed.binghamTubeFlowRate(plastic) / newtonian;
    const casson = closed.cassonTubeFlowRate(plastic) / newtonian;
    expect(relative(bingham, 2 * above ** 2)).toBeLessThan(1e-5);
    expect(relative(casson, (8 / 3) * (above / 2) ** 3)).toBeLessThan(1e-5);
  });

  it('refuse sizes and parameters out of range', () => {
    const n = { ...tube, viscosity: 1 };
    for (const bad of [{ radius: 0 }, { length: -1 }, { pressureDrop: -1 }, { viscosity: 0 }, { radius: Number.NaN }]) {
      expect(() => closed.newtonianTubeFlowRate({ ...n, ...bad })).toThrow(DomainError);
    }
    expect(() => closed.binghamTubeFlowRate({ ...n, yieldStress: -1 })).toThrow(DomainError);
    expect(() => closed.powerLawTubeFlowRate({ ...tube, consistency: 1, flowIndex: 0 })).toThrow(DomainError);
  });
});

describe('limits', () => {
  const flow = (rheology: Rheology) => tubeFlowRate({ rheology, radius: RADIUS, wallShearStress: 700 });
  const newtonian = flow({ model: 'newtonian', viscosity: 3 });

  it('are exact where a parameter drops out', () => {
    expect(flow({ model: 'power-law', consistency: 3, flowIndex: 1 })).toBe(newtonian);
    expect(flow({ model: 'bingham', yieldStress: 0, viscosity: 3 })).toBe(newtonian);
    expect(flow({ model: 'casson', yieldStress: 0, viscosity: 3 })).toBe(newtonian);
    expect(flow({ model: 'herschel-bulkley', yieldStress: 0, consistency: 3, flowIndex: 0.6 })).toBe(
      flow({ model: 'power-law', consistency: 3, flowIndex: 0.6 }),
    );
    expect(flow({ model: 'herschel-bulkley', yieldStress: 90, consistency: 3, flowIndex: 1 })).toBe(
      flow({ model: 'bingham', yieldStress: 90, viscosity: 3 }),
    );
    expect(flow({ model: 'cross', zero: 3, infinity: 3, time: 1, m: 0.5 })).toBe(newtonian);
  });

  // A parameter 1e-9 away from where it drops out moves the flow by some 1e-9 (Casson: by the root of the yield stress).
  it('are approached by the general formulas', () => {
    const near = 1e-9;
    const close = (rheology: Rheology, expected: number, tolerance = 1e-7) =>
      expect(relative(flow(rheology), expected), rheology.model).toBeLessThan(tolerance);
    close({ model: 'power-law', consistency: 3, flowIndex: 1 - near }, newtonian);
    close({ model: 'bingham', yieldStress: near, viscosity: 3 }, newtonian);
    close({ model: 'casson', yieldStress: near, viscosity: 3 }, newtonian, 1e-5);
    close({ model: 'cross', zero: 3 * (1 + near), infinity: 3, time: 1, m: 0.5 }, newtonian);
    close({ model: 'carreau-yasuda', zero: 3, infinity: 1, time: 1, a: 2, n: 1 - near }, newtonian);
    const thinning = flow({ model: 'power-law', consistency: 3, flowIndex: 0.6 });
    close({ model: 'herschel-bulkley', yieldStress: near, consistency: 3, flowIndex: 0.6 }, thinning);
    const plastic = flow({ model: 'bingham', yieldStress: 90, viscosity: 3 });
    close({ model: 'herschel-bulkley', yieldStress: 90, consistency: 3, flowIndex: 1 + near }, plastic);
  });

  it('are met by tables of points on a straight line in log–log', () => {
    const line = (f: (rate: number) => number): Rheology => ({
      model: 'table',
      points: [0.1, 2, 30, 400].map(rate => [rate, f(rate)] as const),
    });
    expect(relative(flow(line(() => 3)), newtonian)).toBeLessThan(1e-12);
    const thinning = flow({ model: 'power-law', consistency: 3, flowIndex: 0.6 });
    expect(relative(flow(line(rate => 3 * rate ** -0.4)), thinning)).toBeLessThan(1e-12);
  });

  it('are met by a fine table of a smooth model', () => {
    const cross = MODELS['cross'] as Rheology & { model: 'cross' };
    const points = Array.from({ length: 1201 }, (_, i) => {
      const rate = 10 ** (-6 + i / 100);
      return [rate, cross.infinity + (cross.zero - cross.infinity) / (1 + (cross.time * rate) ** cross.m)] as const;
    });
    // chords of 1/100 decade are second order in their length: (ln 10/100)²/8·curvature, about 1e-5
    expect(relative(flow({ model: 'table', points }), flow(cross))).toBeLessThan(2e-5);
  });

  it('hold for very strong thinning and a stress plateau', () => {
    for (const rheology of [
      { model: 'power-law', consistency: 500, flowIndex: 0.02 },
      { model: 'carreau-yasuda', zero: 12, infinity: 0.01, time: 0.05, a: 4, n: -0.001 },
      { model: 'herschel-bulkley', yieldStress: 300, consistency: 200, flowIndex: 0.05 },
    ] as Rheology[]) {
      const tube = { rheology, radius: RADIUS, wallShearStress: 600 };
      expect(relative(tubeFlowRate(tube), flowByStress(tube))).toBeLessThan(1e-8);
    }
  });
});

it('refuses wrong calls, and a flow too large to write down', () => {
  const tube = { rheology: MODELS['newtonian']!, radius: RADIUS, wallShearStress: 100 };
  for (const bad of [{ radius: 0 }, { wallShearStress: -1 }, { wallShearStress: Number.NaN }]) {
    for (const call of [tubeFlowRate, flowByStress, flowByRate])
      expect(() => call({ ...tube, ...bad })).toThrow(DomainError);
  }
  expect(() => wallStressForFlow({ rheology: tube.rheology, radius: RADIUS, flow: -1 })).toThrow(DomainError);
  const steep: Rheology = { model: 'power-law', consistency: 1, flowIndex: 0.01 };
  expect(() => tubeFlowRate({ rheology: steep, radius: RADIUS, wallShearStress: 1e5 })).toThrow(DomainError);
});
