import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { wickedLength } from '../../../src/physics/cavity/wicking.ts';

const slit = { gap: 50e-6, reservoirGap: Number.POSITIVE_INFINITY, surfaceTension: 0.042, contactAngle: 0 };

describe('wicking', () => {
  it('goes with the square root of time at constant viscosity (Washburn 1921)', () => {
    // γ·h·t/(3·η) = 0.042 · 50e-6 · 60/(3 · 2.4) = 1.75e-5 m², so 4.1833 mm after a minute.
    expect(wickedLength({ ...slit, fluidity: 60 / 2.4 })).toBeCloseTo(4.1833e-3, 7);
    expect(wickedLength({ ...slit, fluidity: 240 / 2.4 })).toBeCloseTo(2 * 4.1833e-3, 6);
  });

  it('is slowed by the pull of the gap it comes from, and ends where both are as wide', () => {
    const free = wickedLength({ ...slit, fluidity: 25 });
    expect(wickedLength({ ...slit, reservoirGap: 100e-6, fluidity: 25 })).toBeCloseTo(free * Math.SQRT1_2, 12);
    expect(wickedLength({ ...slit, reservoirGap: 50e-6, fluidity: 25 })).toBe(0);
    expect(wickedLength({ ...slit, reservoirGap: 40e-6, fluidity: 25 })).toBe(0);
  });

  it('does not happen where the resin does not wet', () => {
    expect(wickedLength({ ...slit, contactAngle: 1.6, fluidity: 25 })).toBe(0);
    expect(() => wickedLength({ ...slit, gap: 0, fluidity: 25 })).toThrow(DomainError);
  });
});
