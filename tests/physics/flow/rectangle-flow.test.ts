import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { flowPath } from '../../../src/physics/flow/flow-path.ts';
import { rectangleResistance } from '../../../src/physics/flow/rectangle-flow.ts';
import { wallCurve } from '../../../src/physics/flow/wall-curve.ts';
import { MODELS, relative } from './flow-models.ts';

/** f·Re of the Fanning factor and the hydraulic diameter: D²·A/2 times ΔP/(η·L·Q). */
function frictionReynolds(width: number, height: number): number {
  const area = width * height;
  const hydraulic = (2 * area) / (width + height);
  return (hydraulic ** 2 * area * rectangleResistance({ width, height, length: 1 })) / 2;
}

describe('flow through a rectangle', () => {
  // Shah & London, Laminar Flow Forced Convection in Ducts, 1978, table 42 (from memory), height over width and f·Re.
  it.each([
    [1, 14.22708],
    [1 / 2, 15.54806],
    [1 / 3, 17.08967],
    [1 / 4, 18.23278],
    [1 / 8, 20.58464],
    [1 / 10, 21.16888],
    [1 / 20, 22.47701],
  ])('of a height of %s widths has the published f·Re of %s', (height, published) => {
    expect(relative(frictionReynolds(1, height), published)).toBeLessThan(5e-7); // seven digits are given
    expect(frictionReynolds(height, 1)).toBeCloseTo(frictionReynolds(1, height), 12);
  });

  it('tends to the plane slit 12·L/(a·b³), f·Re 24', () => {
    const slit = 12 / (1 * 1e-4 ** 3);
    expect(relative(rectangleResistance({ width: 1, height: 1e-4, length: 1 }) * (1 - 0.63e-4), slit)).toBeLessThan(
      1e-7,
    );
    expect(frictionReynolds(1, 1e-9)).toBeCloseTo(24, 6);
  });

  it('is that of a plain finite-difference solution of the velocity', () => {
    // ∇²u = −1 on 60 by 30 cells, relaxed; the flow is twice the sum's error of h², extrapolated from two meshes.
    const flow = (n: number) => {
      const [columns, rows] = [2 * n, n];
      const h = 1 / n;
      const u = Array.from({ length: columns + 1 }, () => new Float64Array(rows + 1));
      const over = 2 / (1 + Math.sin(Math.PI / n));
      for (let sweep = 0; sweep < 12 * n; sweep++) {
        for (let i = 1; i < columns; i++) {
          for (let j = 1; j < rows; j++) {
            const mean = (u[i - 1]![j]! + u[i + 1]![j]! + u[i]![j - 1]! + u[i]![j + 1]! + h * h) / 4;
            u[i]![j]! += over * (mean - u[i]![j]!);
          }
        }
      }
      return u.reduce((sum, column) => sum + column.reduce((part, value) => part + value, 0), 0) * h * h;
    };
    const [coarse, fine] = [flow(24), flow(48)];
    const extrapolated = fine + (fine - coarse) / 3;
    expect(relative(1 / extrapolated, rectangleResistance({ width: 2, height: 1, length: 1 }))).toBeLessThan(1e-4);
  });

  it('is refused for a side that is not positive, and for a resin that is not Newtonian', () => {
    for (const wrong of [{ width: 0 }, { height: -1 }, { length: 0 }, { width: Number.NaN }]) {
      expect(() => rectangleResistance({ width: 1, height: 1, length: 1, ...wrong })).toThrow(DomainError);
    }
    const sides = { width: 2e-3, height: 1e-3 };
    const piece = { kind: 'section', front: 1e-3, rear: 1e-3, length: 5e-3, sides } as const;
    expect(() => flowPath([piece], wallCurve(MODELS['bingham']!))).toThrow(DomainError);
    const flow = flowPath([piece], wallCurve(MODELS['newtonian']!)).flow(1000);
    expect(relative(flow, 1000 / (2.4 * rectangleResistance({ ...sides, length: 5e-3 })))).toBeLessThan(1e-14);
  });
});

describe.each(Object.entries(MODELS))('several equal passages of %s side by side', (_, rheology) => {
  const curve = wallCurve(rheology);
  const shapes = { cylinder: [126e-6, 126e-6], cone: [126e-6, 0.5e-3], 'gentle cone': [0.5e-3, 0.4998e-3] } as const;

  it.each(Object.entries(shapes))('share the flow of a pressure evenly: %s', (_name, [front, rear]) => {
    const one = flowPath([{ kind: 'section', front, rear, length: 2e-3 }], curve);
    const twelve = flowPath([{ kind: 'section', front, rear, length: 2e-3, count: 12 }], curve);
    for (const pressure of [8e3, 5e4, 3e5]) {
      const flow = one.flow(pressure);
      if (flow === 0) expect(twelve.flow(pressure)).toBe(0);
      else {
        expect(relative(twelve.flow(pressure), 12 * flow)).toBeLessThan(1e-11);
        expect(relative(twelve.pressure(12 * flow), one.pressure(flow))).toBeLessThan(1e-11);
      }
    }
    expect(twelve.yieldPressure).toBe(one.yieldPressure);
  });

  it('and take no part of what the passage before them costs', () => {
    const needle = { kind: 'section', front: 0.4e-3, rear: 0.4e-3, length: 12e-3 } as const;
    const bores = { kind: 'section', front: 0.4e-3, rear: 0.4e-3, length: 3e-3, count: 12 } as const;
    const path = flowPath([needle, bores], curve);
    const flow = path.flow(2e5);
    const sum =
      flowPath([needle], curve).pressure(flow) + flowPath([{ ...bores, count: 1 }], curve).pressure(flow / 12);
    expect(relative(sum, 2e5)).toBeLessThan(1e-9);
  });
});
