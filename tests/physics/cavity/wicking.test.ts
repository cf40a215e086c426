import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { wickedAlong } from '../../../src/physics/cavity/wicking.ts';

const liquid = { reservoirGap: Number.POSITIVE_INFINITY, surfaceTension: 0.042, contactAngle: 0 };
const slit = { ...liquid, slits: [{ gap: 50e-6, length: 1 }] };
const length = (p: Partial<Parameters<typeof wickedAlong>[0]>) => wickedAlong({ ...slit, fluidity: 25, ...p }).length;

describe('wicking', () => {
  it('goes with the square root of time at constant viscosity (Washburn 1921)', () => {
    // γ·h·t/(3·η) = 0.042 · 50e-6 · 60/(3 · 2.4) = 1.75e-5 m², so 4.1833 mm after a minute.
    expect(length({ fluidity: 60 / 2.4 })).toBeCloseTo(4.1833e-3, 7);
    expect(length({ fluidity: 240 / 2.4 })).toBeCloseTo(2 * 4.1833e-3, 6);
  });

  it('is slowed by the pull of the gap it comes from, and ends where both are as wide', () => {
    expect(length({ reservoirGap: 100e-6 })).toBeCloseTo(length({}) * Math.SQRT1_2, 12);
    expect(wickedAlong({ ...slit, reservoirGap: 50e-6, fluidity: 25 })).toEqual({ length: 0, end: 'pull' });
    expect(length({ reservoirGap: 40e-6 })).toBe(0);
  });

  it('does not happen where the resin does not wet', () => {
    expect(length({ contactAngle: 1.6 })).toBe(0);
    expect(() => length({ slits: [{ gap: 0, length: 1 }] })).toThrow(DomainError);
  });

  it('is the same in a slit cut in two, and ends with the slits', () => {
    const cut = [1e-3, 2e-3, 1].map(long => ({ gap: 50e-6, length: long }));
    expect(length({ slits: cut })).toBeCloseTo(length({}), 12);
    expect(wickedAlong({ ...slit, slits: cut.slice(0, 2), fluidity: 25 })).toEqual({ length: 3e-3, end: 'slits' });
  });

  it('along slits of two widths is that of a plain integration of dx/dΦ', () => {
    const [a, b] = [
      { gap: 80e-6, length: 2e-3 },
      { gap: 40e-6, length: 1 },
    ];
    // q = 2γ(1/h − 1/hₛ)/(12·Σl/h³) and dx/dΦ = q/h, summed up to the length found: that has to take Φ = 25.
    const found = length({ slits: [a, b], reservoirGap: 200e-6 });
    expect(found).toBeGreaterThan(a.length);
    const steps = 200_000;
    let fluidity = 0;
    for (let i = 0; i < steps; i++) {
      const x = (found * (i + 0.5)) / steps;
      const gap = x < a.length ? a.gap : b.gap;
      const resistance = Math.min(x, a.length) / a.gap ** 3 + Math.max(0, x - a.length) / b.gap ** 3;
      fluidity += ((12 * resistance * gap) / (2 * 0.042 * (1 / gap - 1 / 200e-6))) * (found / steps);
    }
    expect(fluidity).toBeCloseTo(25, 3);
    expect(length({ slits: [a, { gap: 250e-6, length: 1 }], reservoirGap: 200e-6 })).toBe(a.length);
  });
});
