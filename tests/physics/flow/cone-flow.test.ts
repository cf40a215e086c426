import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { integrate } from '../../../src/numeric/quadrature.ts';
import { type ConeGeometry, newtonianConePressureDrop } from '../../../src/physics/flow/cone-flow.ts';
import { needlePressureDrop } from '../../../src/physics/flow/needle-flow.ts';
import { tubeFlowRate } from '../../../src/physics/flow/tube-flow.ts';
import type { Rheology } from '../../../src/physics/rheology/rheology.ts';
import { MODELS, relative } from './flow-models.ts';
import { powerLawConePressureDrop } from './power-law-cone.ts';
import { wallStressForFlow } from './wall-stress-for-flow.ts';

/** Pressure [Pa] that drives a flow through a cone without openings. */
function conePressureDrop({ rheology, flow, ...cone }: ConeGeometry & { rheology: Rheology; flow: number }): number {
  return needlePressureDrop({ rheology, flow, sections: [cone], ends: 'none' });
}

const LENGTH = 12e-3; // [m]
/** Diameters of the ends [m]: a usual tip, a steep one, gentle ones around the place where the method changes, a cylinder. */
const CONES = [
  [0.84e-3, 0.41e-3],
  [2e-3, 0.2e-3],
  [0.5e-3, 0.42e-3],
  [0.5e-3, 0.4994e-3],
  [0.5e-3, 0.4996e-3],
  [0.5e-3, 0.5e-3 * (1 - 1e-9)],
  [0.5e-3, 0.5e-3],
] as const;

/** Independent path: the local gradient 2τw/R, each by its own inversion, integrated along the axis. */
function byGradient(rheology: Rheology, cone: readonly [number, number], flow: number): number {
  const gradient = (z: number) => {
    const radius = (cone[0] + ((cone[1] - cone[0]) * z) / LENGTH) / 2;
    return (2 * wallStressForFlow({ rheology, radius, flow })) / radius;
  };
  return integrate(gradient, 0, LENGTH, { relative: 1e-11 });
}

describe.each(Object.entries(MODELS))('pressure in a cone of %s', (_, rheology) => {
  it('agrees with the gradient summed along the axis to 1e-8', () => {
    for (const [front, rear] of CONES) {
      for (const flow of [1e-12, 1e-9, 1e-7]) {
        const expected = byGradient(rheology, [front, rear], flow);
        expect(relative(conePressureDrop({ rheology, flow, front, rear, length: LENGTH }), expected)).toBeLessThan(
          1e-8,
        );
      }
    }
  });

  it('does not depend on the direction of flow', () => {
    const cone = { rheology, flow: 1e-9, length: LENGTH };
    const there = conePressureDrop({ ...cone, front: 0.84e-3, rear: 0.41e-3 });
    expect(conePressureDrop({ ...cone, front: 0.41e-3, rear: 0.84e-3 })).toBe(there);
  });

  it('becomes a tube when the ends are equal', () => {
    const wallShearStress = 400;
    const flow = tubeFlowRate({ rheology, radius: 2.5e-4, wallShearStress });
    const drop = conePressureDrop({ rheology, flow, front: 5e-4, rear: 5e-4, length: LENGTH });
    expect(relative(drop, (2 * LENGTH * wallShearStress) / 2.5e-4)).toBeLessThan(1e-12);
  });
});

describe('closed forms of a cone', () => {
  const cone = { front: 0.84e-3, rear: 0.41e-3, length: LENGTH, flow: 3e-9 };

  // Hand value: d₁ = 2 mm, d₂ = 1 mm, L = 10 mm, η = 3π Pa·s, Q = 1e-9 m³/s: 128·1e-9·0.01·7e-6/(8e-18) = 1120 Pa
  it('give a hand value', () => {
    const drop = newtonianConePressureDrop({
      front: 2e-3,
      rear: 1e-3,
      length: 0.01,
      viscosity: 3 * Math.PI,
      flow: 1e-9,
    });
    expect(relative(drop, 1120)).toBeLessThan(1e-13);
  });

  it('agree with each other and with the general path', () => {
    const newtonian = newtonianConePressureDrop({ ...cone, viscosity: 2.4 });
    expect(relative(powerLawConePressureDrop({ ...cone, consistency: 2.4, flowIndex: 1 }), newtonian)).toBeLessThan(
      1e-13,
    );
    expect(relative(conePressureDrop({ ...cone, rheology: MODELS['newtonian']! }), newtonian)).toBeLessThan(1e-13);
    for (const flowIndex of [0.1, 0.71, 1.3]) {
      const power = powerLawConePressureDrop({ ...cone, consistency: 9.5, flowIndex });
      const general = conePressureDrop({ ...cone, rheology: { model: 'power-law', consistency: 9.5, flowIndex } });
      expect(relative(general, power)).toBeLessThan(1e-12);
    }
  });

  // ΔP = 2KL[(3n+1)Q/(nπ)]ⁿ (R₂^(−3n) − R₁^(−3n))/(3n(R₁ − R₂)) as it stands, where it does not cancel
  it('match the formula as it is written', () => {
    const [n, k] = [0.6, 9.5];
    const [r1, r2] = [cone.front / 2, cone.rear / 2];
    const flowTerm = (((3 * n + 1) * cone.flow) / (n * Math.PI)) ** n;
    const expected = (2 * k * LENGTH * flowTerm * (r2 ** (-3 * n) - r1 ** (-3 * n))) / (3 * n * (r1 - r2));
    expect(relative(powerLawConePressureDrop({ ...cone, consistency: k, flowIndex: n }), expected)).toBeLessThan(1e-13);
  });

  it('refuse sizes, flows and parameters out of range', () => {
    for (const bad of [{ front: 0 }, { rear: -1 }, { length: 0 }, { flow: -1 }, { viscosity: 0 }]) {
      expect(() => newtonianConePressureDrop({ ...cone, viscosity: 1, ...bad })).toThrow(DomainError);
    }
    expect(() => powerLawConePressureDrop({ ...cone, consistency: 1, flowIndex: 0 })).toThrow(DomainError);
    expect(() => conePressureDrop({ ...cone, rheology: MODELS['cross']!, flow: Number.NaN })).toThrow(DomainError);
  });
});

it('carries at rest what the yield stress holds: 2Lτ₀ ln(R₁/R₂)/(R₁ − R₂)', () => {
  const cone = { front: 0.84e-3, rear: 0.41e-3, length: LENGTH };
  const atRest = conePressureDrop({ ...cone, rheology: MODELS['bingham']!, flow: 0 });
  expect(relative(atRest, (2 * LENGTH * 60 * Math.log(0.84 / 0.41)) / 0.215e-3)).toBeLessThan(1e-13);
  expect(conePressureDrop({ ...cone, rheology: MODELS['bingham']!, flow: 1e-30 }) / atRest).toBeCloseTo(1, 6);
});
