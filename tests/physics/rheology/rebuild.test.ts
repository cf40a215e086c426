import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { rebuildFactor } from '../../../src/physics/rheology/rebuild.ts';

describe('a thixotropic resin at rest', () => {
  it('is as thick as worked at once, and by the whole factor after a long pause', () => {
    expect(rebuildFactor({ factor: 1.5, time: 300, pause: 0 })).toBe(1);
    expect(rebuildFactor({ factor: 1.5, time: 300, pause: 1e6 })).toBe(1.5);
    expect(rebuildFactor({ factor: 1, time: 300, pause: 600 })).toBe(1);
  });

  it('rebuilds as dλ/dt = (1 − λ)/τ does, summed step by step', () => {
    const steps = 200_000;
    let structure = 0;
    for (let i = 0; i < steps; i++) structure += ((1 - structure) / 300) * (420 / steps);
    expect(rebuildFactor({ factor: 1.8, time: 300, pause: 420 })).toBeCloseTo(1 + 0.8 * structure, 5);
  });

  it('is refused where a number makes no sense', () => {
    for (const wrong of [{ factor: 0.9 }, { time: 0 }, { pause: -1 }, { factor: Number.NaN }]) {
      expect(() => rebuildFactor({ factor: 1.5, time: 300, pause: 60, ...wrong })).toThrow(DomainError);
    }
  });
});
