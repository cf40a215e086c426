import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { solveOde } from '../../../src/numeric/ode.ts';
import { capContactDiameter } from '../../../src/physics/drop/cap.ts';
import {
  type SpreadingDot,
  spreadCurve,
  spreadingAngle,
  spreadShare,
  spreadTime,
  timeToShare,
} from '../../../src/physics/drop/dot-spreading.ts';

const deg = Math.PI / 180;
const dot: SpreadingDot = {
  ...{ volume: 1.6e-9, viscosity: 3, surfaceTension: 0.042 },
  ...{ contactAngle: 32 * deg, spreadLog: 10 },
};
const diameter = (d: SpreadingDot, time: number) =>
  capContactDiameter({ volume: d.volume, contactAngle: spreadingAngle({ ...d, time }) });

/** The law as it is written, in R, with the angle from the cap by bisection: nothing shared with the program. */
function integrated(d: SpreadingDot, time: number): number {
  const angleOf = (radius: number) => {
    let low = 1e-9;
    let high = Math.PI / 2 + 1e-9;
    for (let i = 0; i < 60; i++) {
      const angle = (low + high) / 2;
      const { cos, sin } = Math;
      const volume = (Math.PI * radius ** 3 * (2 - 3 * cos(angle) + cos(angle) ** 3)) / (3 * sin(angle) ** 3);
      if (volume < d.volume) low = angle;
      else high = angle;
    }
    return (low + high) / 2;
  };
  const start = Math.cbrt((3 * d.volume) / (2 * Math.PI)); // a hemisphere
  const { y } = solveOde({
    derivative: (_, y, dy) => {
      dy[0] = ((d.surfaceTension / d.viscosity) * (angleOf(y[0]!) ** 3 - d.contactAngle ** 3)) / (9 * d.spreadLog);
    },
    ...{ from: 0, to: time, initial: [start], relative: 1e-9, absolute: 1e-16 },
  });
  return 2 * y[0]!;
}

describe('a spreading dot', () => {
  it.each([0.5, 20, 300])('agrees with a plain integration of the law after %d s', time => {
    expect(Math.abs(diameter(dot, time) / integrated(dot, time) - 1)).toBeLessThan(1e-6);
  });

  it('wetting all the way, grows as the tenth root of time (Tanner 1979)', () => {
    const d = { ...dot, contactAngle: 0 };
    const slope = Math.log(diameter(d, 2e8) / diameter(d, 1e8)) / Math.log(2);
    expect(slope).toBeCloseTo(0.1, 4);
    // Tanner's coefficient: θ = 4·V/(π·R³) for a flat cap, so R¹⁰ = (10/9Λ)·(γ/η)·(4V/π)³·t.
    const tanner = ((10 / 90) * (d.surfaceTension / d.viscosity) * ((4 * d.volume) / Math.PI) ** 3 * 1e8) ** 0.1 * 2;
    expect(Math.abs(diameter(d, 1e8) / tanner - 1)).toBeLessThan(2e-3);
  });

  it('starts as a hemisphere and comes to rest at its own angle', () => {
    expect(spreadingAngle({ ...dot, time: 0 })).toBe(Math.PI / 2);
    expect(spreadingAngle({ ...dot, time: 1e9 })).toBeCloseTo(32 * deg, 12);
    expect(spreadShare({ ...dot, time: 1e9 })).toBeCloseTo(1, 12);
  });

  it('says when it is within a share of its last diameter', () => {
    const time = timeToShare({ ...dot, share: 0.99 });
    expect(spreadShare({ ...dot, time })).toBeCloseTo(0.99, 9);
    expect(timeToShare({ ...dot, share: 0.5 })).toBe(0); // a hemisphere is wider than that
  });

  it('does not spread where it rests at 90 degrees or more', () => {
    expect(spreadShare({ ...dot, contactAngle: 100 * deg, time: 0 })).toBe(1);
    expect(timeToShare({ ...dot, contactAngle: 100 * deg, share: 0.99 })).toBe(0);
  });

  it('as a table is the integral to a millionth, and its slope that of two times side by side', () => {
    for (const angle of [5, 32, 60, 89]) {
      const d = { ...dot, contactAngle: angle * deg };
      const curve = spreadCurve(d.contactAngle);
      for (const time of [0, 1e-6, 0.01, 0.5, 5, 20, 60, 300, 3000]) {
        expect(Math.abs(curve.share(spreadTime({ ...d, time })) - spreadShare({ ...d, time }))).toBeLessThan(2e-6);
      }
      const [a, b] = [0.98, 1.02].map(k => Math.log(spreadShare({ ...d, time: 20 * k })));
      expect(curve.slope(spreadTime({ ...d, time: 20 }))).toBeCloseTo((b! - a!) / Math.log(1.02 / 0.98), 4);
    }
    expect(spreadCurve(120 * deg).share(1)).toBe(1);
  });

  it('scales: twice the viscosity takes twice as long, eight times the volume too', () => {
    const share = spreadShare({ ...dot, time: 10 });
    expect(spreadShare({ ...dot, viscosity: 6, time: 20 })).toBeCloseTo(share, 12);
    expect(spreadShare({ ...dot, volume: 8 * dot.volume, time: 20 })).toBeCloseTo(share, 12);
  });

  it('refuses what makes no sense', () => {
    expect(() => spreadingAngle({ ...dot, time: -1 })).toThrow(DomainError);
    expect(() => spreadingAngle({ ...dot, viscosity: 0, time: 1 })).toThrow(DomainError);
    expect(() => spreadShare({ ...dot, contactAngle: 0, time: 1 })).toThrow(DomainError);
    expect(() => timeToShare({ ...dot, share: 1 })).toThrow(DomainError);
  });
});
