import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { bucklingLoad, dragLength, pistonLength } from '../../../src/physics/cavity/insertion.ts';

const bore = { length: 5.5e-3, front: 126e-6, rear: 126e-6 };

describe('drag of a fibre in its bore', () => {
  it('is 2π·L/ln(D/d) on the axis', () => {
    const hand = (2 * Math.PI * 5.5e-3) / Math.log(126 / 125);
    expect(dragLength({ stretches: [bore], fibre: 125e-6 }) / hand).toBeCloseTo(1, 12);
  });

  it('off the axis follows the film of a journal bearing where the gap is narrow', () => {
    // Petroff's film with h = c·(1 + ε·cos φ): ∫dφ/h = 2π/(c·√(1 − ε²)); a gap of 1e-4 of the radius leaves 1e-4.
    const fibre = 125e-6;
    const clearance = 1e-4 * (fibre / 2);
    const narrow = { length: 1e-3, front: fibre + 2 * clearance, rear: fibre + 2 * clearance };
    for (const eccentricity of [0, 0.5, 0.9]) {
      const film = (1e-3 * Math.PI * fibre) / (clearance * Math.sqrt(1 - eccentricity ** 2));
      expect(dragLength({ stretches: [narrow], fibre, eccentricity }) / film).toBeCloseTo(1, 3);
    }
  });

  it('off the axis agrees with acosh((D² + d² − 4e²)/(2Dd)) where the gap is wide', () => {
    const [D, d, e] = [1e-3, 0.25e-3, 0.9 * 0.375e-3];
    const hand = (2 * Math.PI * 1e-3) / Math.acosh((D * D + d * d - 4 * e * e) / (2 * D * d));
    const stretches = [{ length: 1e-3, front: D, rear: D }];
    expect(dragLength({ stretches, fibre: d, eccentricity: 0.9 }) / hand).toBeCloseTo(1, 12);
  });

  it('over a cone is the integral along it', () => {
    const [front, rear, n] = [126e-6, 0.9e-3, 200_000];
    let sum = 0;
    for (let i = 0; i < n; i++) sum += 1 / Math.log((front + ((rear - front) * (i + 0.5)) / n) / 125e-6);
    const hand = ((2 * Math.PI * 0.6e-3) / n) * sum;
    expect(dragLength({ stretches: [{ length: 0.6e-3, front, rear }], fibre: 125e-6 }) / hand).toBeCloseTo(1, 5);
  });

  it('refuses a bore that is not wider than the fibre', () => {
    expect(() => dragLength({ stretches: [bore], fibre: 126e-6 })).toThrow(DomainError);
    expect(() => dragLength({ stretches: [bore], fibre: 125e-6, eccentricity: 1 })).toThrow(DomainError);
  });
});

describe('the resin ahead of the fibre', () => {
  it('pushes back as Hagen–Poiseuille says', () => {
    const [viscosity, speed, d, D, x] = [2.4, 1e-3, 125e-6, 126e-6, 5.5e-3];
    const flow = (speed * Math.PI * d * d) / 4;
    const pressure = (128 * viscosity * x * flow) / (Math.PI * D ** 4);
    const force = (pressure * Math.PI * d * d) / 4;
    expect((pistonLength({ ahead: x, bore: D, fibre: d }) * viscosity * speed) / force).toBeCloseTo(1, 12);
  });
});

describe('buckling', () => {
  it('of 125 µm silica over 10 mm is 0.0852 N, by hand', () => {
    // I = π·(125e-6)⁴/64 = 1.1984e-17 m⁴; π²·72e9·I/1e-4 = 0.08516 N.
    expect(bucklingLoad({ fibre: 125e-6, freeLength: 10e-3 })).toBeCloseTo(0.08516, 4);
  });
});
