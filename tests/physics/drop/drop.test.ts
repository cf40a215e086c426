import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { capillaryLength, dropFromDiameter, dropFromVolume } from '../../../src/physics/drop/drop.ts';
import table from './young-laplace.json' with { type: 'json' };

const degree = Math.PI / 180;
const gravity = 9.80665; // [m/s²]
const epoxy = { surfaceTension: 45e-3, density: 1160 };
/** The capillary length is 1 m: lengths are in units of it. */
const unit = { surfaceTension: gravity, density: 1 };

/** Relative difference. */
const off = (found: number, expected: number): number => Math.abs(found / expected - 1);

/**
 * A second path: classic fourth-order Runge–Kutta in arc length from the apex, in steps far finer than its error needs,
 * up to the contact angle by a last secant on the step. Units of the capillary length.
 */
function plainRungeKutta(p: { apexRadius: number; contactAngle: number; step: number }) {
  const { apexRadius: b, contactAngle } = p;
  const slope = ([x, z, phi]: number[]): number[] => {
    const [X, Z, P] = [x as number, z as number, phi as number];
    return [Math.cos(P), Math.sin(P), X === 0 ? 1 / b : 2 / b + Z - Math.sin(P) / X, Math.PI * X * X * Math.sin(P)];
  };
  const advance = (y: number[], h: number): number[] => {
    const plus = (k: number[], f: number): number[] => y.map((v, i) => v + f * (k[i] as number));
    const k1 = slope(y);
    const k2 = slope(plus(k1, h / 2));
    const k3 = slope(plus(k2, h / 2));
    const k4 = slope(plus(k3, h));
    return y.map(
      (v, i) => v + (h / 6) * ((k1[i] as number) + 2 * (k2[i] as number) + 2 * (k3[i] as number) + (k4[i] as number)),
    );
  };
  let y = [0, 0, 0, 0];
  let greatest = 0;
  for (;;) {
    const next = advance(y, p.step);
    if ((next[2] as number) >= contactAngle) break;
    greatest = Math.max(greatest, next[0] as number);
    y = next;
  }
  let h = 0;
  for (let i = 0; i < 20; i++) {
    const at = advance(y, h);
    h += (contactAngle - (at[2] as number)) / (slope(at)[2] as number);
  }
  const [x, z, , volume] = advance(y, h) as [number, number, number, number];
  return { contactRadius: x, height: z, volume, greatest: Math.max(greatest, x) };
}

describe('a sessile drop', () => {
  // Dimensionless solutions of an independent adaptive solver at 1e-13; each row meets the balance of forces to 4e-11.
  // b = 1 m and ρg/γ = β/m². Agreement 1e-8: the aim; the models ask for 1e-5.
  test.each(table)('meets the table at β = $beta, φ = $phiDegrees°', row => {
    const drop = dropFromVolume({
      volume: row.volumeOverB3,
      contactAngle: row.phiDegrees * degree,
      surfaceTension: gravity,
      density: row.beta,
    });
    expect(off(drop.contactDiameter / 2, row.xOverB)).toBeLessThan(1e-8);
    expect(off(drop.height, row.zOverB)).toBeLessThan(1e-8);
    expect(off(drop.apexRadius, 1)).toBeLessThan(1e-8);
    expect(off(drop.drivingPressure, gravity * (2 + row.beta * row.zOverB))).toBeLessThan(1e-8);
  });

  test('has the size of physical drops', () => {
    // Independent solver, γ = 45 mN/m, ρ = 1160 kg/m³; six digits
    const flat = dropFromVolume({ ...epoxy, volume: 1e-9, contactAngle: 30 * degree });
    expect(flat.contactDiameter / 2e-3).toBeCloseTo(1.33361, 5);
    expect(flat.height / 1e-3).toBeCloseTo(0.34633, 5);
    expect(flat.capDiameter / 2e-3).toBeCloseTo(1.32389, 5);
    const steep = dropFromVolume({ ...epoxy, volume: 10e-9, contactAngle: 90 * degree });
    expect(steep.contactDiameter / 2e-3).toBeCloseTo(1.77158, 5);
    expect(steep.height / 1e-3).toBeCloseTo(1.53207, 5);
    expect(steep.capError).toBeCloseTo(1.68389 / 1.77158 - 1, 5);
    // water at 20 °C, 72.75 mN/m, 998.2 kg/m³
    const water = dropFromVolume({
      surfaceTension: 72.75e-3,
      density: 998.2,
      volume: 10e-9,
      contactAngle: 90 * degree,
    });
    expect(water.contactDiameter / 2e-3).toBeCloseTo(1.73338, 5);
    expect(water.height / 1e-3).toBeCloseTo(1.59729, 5);
    expect(capillaryLength({ surfaceTension: 72.75e-3, density: 998.2 }) / 1e-3).toBeCloseTo(2.7261, 4);
  });

  const angles = [5, 12, 32, 60, 89.99, 90, 90.01, 120, 150, 175];
  test.each(angles)('is a cap where it is small, at %d°', angle => {
    const contactAngle = angle * degree;
    const bond = 1e-6;
    const drop = dropFromVolume({ ...unit, volume: bond ** 1.5, contactAngle });
    expect(off(drop.bondNumber, bond)).toBeLessThan(1e-12);
    const sphere = drop.capDiameter / 2 / (contactAngle <= Math.PI / 2 ? Math.sin(contactAngle) : 1);
    // The first correction is of the order of (radius/capillary length)², at most 1e-5 here (5°: the apex radius is large)
    const first = sphere ** 2;
    expect(Math.abs(drop.capError)).toBeLessThan(first);
    expect(off(drop.apexRadius, sphere)).toBeLessThan(first);
    expect(off(drop.height, sphere * (1 - Math.cos(contactAngle)))).toBeLessThan(2 * first);
  });

  test('has the Bond number of its volume: ρgV^(2/3)/γ', () => {
    const volume = 5e-9;
    const bond = (epoxy.density * gravity * volume ** (2 / 3)) / epoxy.surfaceTension;
    expect(off(dropFromVolume({ ...epoxy, volume, contactAngle: 32 * degree }).bondNumber, bond)).toBeLessThan(1e-12);
  });

  test.each(angles)('is a puddle of height 2a·sin(θ/2) where it is large, at %d°', angle => {
    const contactAngle = angle * degree;
    const drop = dropFromVolume({ ...unit, volume: 1e6, contactAngle });
    expect(drop.bondNumber).toBeCloseTo(1e4, 6);
    const radius = drop.seenDiameter / 2;
    expect(radius).toBeGreaterThan(350); // √(V/(2π)) for the highest
    // The rim's second curvature 1/R changes the height by the order of 1/R
    expect(off(drop.height, 2 * Math.sin(contactAngle / 2))).toBeLessThan(1 / radius);
    // Nearly all of the volume is the flat disc; the rim lies within a few capillary lengths
    expect(off(Math.PI * radius ** 2 * drop.height, 1e6)).toBeLessThan(5 / radius);
    expect(drop.apexCurvature).toBeGreaterThanOrEqual(0);
    expect(Number.isFinite(drop.drivingPressure)).toBe(true);
  });

  test.each(angles)('balances forces over twenty orders of volume, at %d°', angle => {
    // V = π·x²·u − 2π·x·sin θ, u = 2a/b + h in capillary lengths: weight against base pressure and surface tension.
    const contactAngle = angle * degree;
    for (let exponent = -6; exponent <= 4; exponent += 0.25) {
      const volume = 10 ** (1.5 * exponent);
      const drop = dropFromVolume({ ...unit, volume, contactAngle });
      const x = drop.contactDiameter / 2;
      const pressure = Math.PI * x * x * (2 * drop.apexCurvature + drop.height);
      const tension = 2 * Math.PI * x * Math.sin(contactAngle);
      // the two terms cancel in small drops: the difference is held against the larger
      expect(Math.abs(pressure - tension - volume) / (pressure + tension)).toBeLessThan(1e-8);
    }
  });

  test.each([
    { bond: 0.01, angle: 20 },
    { bond: 0.3, angle: 32 },
    { bond: 1, angle: 90 },
    { bond: 1, angle: 150 },
    { bond: 8, angle: 45 },
    { bond: 30, angle: 10 },
    { bond: 30, angle: 120 },
    { bond: 100, angle: 170 },
  ])('agrees with a plain Runge–Kutta path at Bond $bond, $angle°', ({ bond, angle }) => {
    const contactAngle = angle * degree;
    const drop = dropFromVolume({ ...unit, volume: bond ** 1.5, contactAngle });
    const step = drop.greatestDiameter / 20_000; // error of the order of (step/size)^4
    const path = plainRungeKutta({ apexRadius: drop.apexRadius, contactAngle, step });
    expect(off(drop.contactDiameter / 2, path.contactRadius)).toBeLessThan(1e-7);
    expect(off(drop.height, path.height)).toBeLessThan(1e-7);
    expect(off(drop.volume, path.volume)).toBeLessThan(2e-7);
    expect(off(drop.greatestDiameter / 2, path.greatest)).toBeLessThan(1e-7);
  });

  test('overhangs its contact line above 90° and not below', () => {
    const at = (angle: number) => dropFromVolume({ ...epoxy, volume: 2e-9, contactAngle: angle * degree });
    expect(at(80).greatestDiameter).toBe(at(80).contactDiameter);
    expect(at(130).greatestDiameter).toBeGreaterThan(1.05 * at(130).contactDiameter);
    expect(at(130).seenDiameter).toBe(at(130).greatestDiameter);
  });

  const volumes = fc.double({ min: -6, max: 4, noNaN: true }).map(exponent => 10 ** (1.5 * exponent));
  const anyAngle = fc.double({ min: 5, max: 175, noNaN: true }).map(angle => angle * degree);

  test('gives its volume back from its diameter', () => {
    fc.assert(
      fc.property(volumes, anyAngle, (volume, contactAngle) => {
        const { seenDiameter } = dropFromVolume({ ...unit, volume, contactAngle });
        const back = dropFromDiameter({ ...unit, seenDiameter, contactAngle });
        expect(off(back.volume, volume)).toBeLessThan(1e-10); // both meet 1e-12, the volume goes with the third power
      }),
      { seed: 1, numRuns: 300 },
    );
  });

  test('is wider than its cap, and wider the flatter it wets', () => {
    fc.assert(
      fc.property(volumes, fc.double({ min: 5, max: 174, noNaN: true }), (volume, angle) => {
        const drop = dropFromVolume({ ...unit, volume, contactAngle: angle * degree });
        const steeper = dropFromVolume({ ...unit, volume, contactAngle: (angle + 1) * degree });
        expect(drop.capError).toBeLessThan(1e-9); // rounding of the profile, where gravity does not matter
        expect(steeper.height).toBeGreaterThan(drop.height);
        expect(steeper.contactDiameter).toBeLessThan(drop.contactDiameter);
      }),
      { seed: 2, numRuns: 300 },
    );
  });

  test('scales: twice the lengths at a quarter of ρg/γ is the same shape', () => {
    const small = dropFromVolume({ ...epoxy, volume: 1e-9, contactAngle: 1 });
    const large = dropFromVolume({ ...epoxy, density: epoxy.density / 4, volume: 8e-9, contactAngle: 1 });
    expect(off(large.seenDiameter, 2 * small.seenDiameter)).toBeLessThan(1e-11);
    expect(off(large.capError, small.capError)).toBeLessThan(1e-9);
  });

  const good = { volume: 1e-9, contactAngle: 1, ...epoxy };
  test.each([
    { volume: 0 },
    { volume: -1e-9 },
    { volume: Number.NaN },
    { volume: Number.POSITIVE_INFINITY },
    { surfaceTension: 0 },
    { density: 0 },
    { density: Number.NaN },
    { contactAngle: 4.9 * degree },
    { contactAngle: 175.1 * degree },
    { contactAngle: Number.NaN },
  ])('refuses %o', bad => {
    expect(() => dropFromVolume({ ...good, ...bad })).toThrow(DomainError);
    const { volume, ...rest } = { ...good, ...bad };
    expect(() => dropFromDiameter({ ...rest, seenDiameter: 'volume' in bad ? volume : 1e-3 })).toThrow(DomainError);
  });

  test('takes the ends of the range as written in degrees', () => {
    expect(dropFromVolume({ ...good, contactAngle: 5 * degree }).volume).toBe(1e-9);
    expect(dropFromVolume({ ...good, contactAngle: 175 * degree }).volume).toBe(1e-9);
  });
});
