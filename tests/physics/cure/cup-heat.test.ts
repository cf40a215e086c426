import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { type CupHeat, cupCourse, cupSurface, largestMass } from '../../../src/physics/cure/cup-heat.ts';

const R = 8.31446261815324;
const room = 298.15;
const cup: CupHeat = {
  rate: (alpha, T) => 2.5e5 * Math.exp(-62e3 / (R * T)) * (1 - alpha),
  ...{ heatOfReaction: 350e3, heatCapacity: 1800, density: 1150 },
  ...{ diameter: 0.05, wall: 10, room },
};

describe('a mixed mass in its cup', () => {
  it('without losses ends on the adiabatic line, ΔH/c above the room', () => {
    expect(cupCourse({ ...cup, wall: 0, mass: 0.05 }).peak - room).toBeCloseTo(350e3 / 1800, 5);
  });

  it('heated evenly approaches its balance as Newton’s law of cooling says', () => {
    // dΔT/dt = q − ΔT/τ from ΔT = 0: q·τ·(1 − exp(−t/τ)).
    const even = { ...cup, rate: () => 1e-7, mass: 0.02 };
    const tau = (0.02 * 1800) / (10 * cupSurface(even));
    const q = (1e-7 * 350e3) / 1800;
    const rise = (until: number) => cupCourse({ ...even, until }).peak - room;
    expect(rise(tau / 2) / (q * tau * (1 - Math.exp(-0.5)))).toBeCloseTo(1, 8);
    expect(rise(20 * tau) / (q * tau)).toBeCloseTo(1, 6);
  });

  it('runs away just beyond Semenov’s critical temperature and not just before', () => {
    const E = 62e3;
    // Where the heat of a rate A·exp(−E/RT) touches the line of the losses: (Tc − T∞)·E/(R·Tc²) = 1.
    const critical = (E / (2 * R)) * (1 - Math.sqrt(1 - (4 * R * room) / E));
    const zeroth = { ...cup, rate: (_: number, T: number) => 10 * Math.exp(-E / (R * T)), heatOfReaction: 3e9 };
    const generated = (3e9 / 1800) * 10 * Math.exp(-E / (R * critical)); // [K/s]
    const lossNeeded = generated / (critical - room); // [1/s]
    const mass = 0.02;
    const wallFor = (loss: number) => (loss * mass * 1800) / cupSurface({ ...cup, mass });
    const calm = cupCourse({ ...zeroth, mass, wall: wallFor(lossNeeded * 1.01) });
    expect(calm.peak).toBeLessThan(critical);
    expect(calm.peak).toBeGreaterThan(critical - 4);
    expect(cupCourse({ ...zeroth, mass, wall: wallFor(lossNeeded * 0.99) }).peak).toBeGreaterThan(critical + 100);
    // For E far above RT∞ the heat at the critical point is 1/e of the textbook's: ΔT·E/(R·T∞²) → 1.
    const stiff = 1e7;
    const limit = (stiff / (2 * R)) * (1 - Math.sqrt(1 - (4 * R * room) / stiff));
    expect(((limit - room) * stiff) / (R * room * room)).toBeCloseTo(1, 2);
  });
});

describe('largest mass', () => {
  it('warms by just the rise that is allowed', () => {
    const hasty = { ...cup, rate: (a: number, T: number) => 4 * cup.rate(a, T) };
    const mass = largestMass({ ...hasty, rise: 3, until: 1800 });
    expect(mass).not.toBeNull();
    expect(cupCourse({ ...hasty, mass: mass!, until: 1800 }).peak - room).toBeCloseTo(3, 5);
    expect(cupCourse({ ...hasty, mass: 1.01 * mass!, until: 1800 }).peak - room).toBeGreaterThan(3);
  });

  it('is null where no mass warms that much', () => {
    expect(largestMass({ ...cup, rate: () => 1e-12, rise: 10, until: 720 })).toBeNull();
  });

  it('refuses sizes that are none', () => {
    expect(() => cupCourse({ ...cup, mass: 0 })).toThrow(DomainError);
    expect(() => largestMass({ ...cup, rise: 0, until: 10 })).toThrow(DomainError);
  });
});
