import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { capVolume } from '../../../src/physics/drop/cap.ts';
import {
  MOST_SHOTS,
  readingErrorOfVolume,
  readingVolumeError,
  shotsPerCircle,
} from '../../../src/physics/drop/dot-reading.ts';

const resin = { contactAngle: (32 * Math.PI) / 180, surfaceTension: 42e-3, density: 1150 };

describe('misreading a dot', () => {
  test('of a cap is (1 + e/d)³ − 1: a tenth of the diameter is 33.1 %', () => {
    // 10 µm dots: gravity does not matter to 1e-5
    expect(readingVolumeError({ ...resin, seenDiameter: 10e-6, readingError: 1e-6 })).toBeCloseTo(0.331, 4);
  });

  test('of a puddle tends to (1 + e/d)² − 1: a hundredth of the diameter is 2.01 %', () => {
    // 1 m across, capillary length 1.9 mm: the rim is worth about that share of the radius
    expect(readingVolumeError({ ...resin, seenDiameter: 1, readingError: 0.01 })).toBeCloseTo(0.0201, 3);
  });

  test('of 0.1 mm on 3 mm is 10 % of the volume, as the guide says', () => {
    const error = readingVolumeError({ ...resin, seenDiameter: 3e-3, readingError: 1e-4 });
    expect(error).toBeGreaterThan(0.09);
    expect(error).toBeLessThan(0.11);
  });

  test('is the same by volume and by diameter', () => {
    const contactDiameter = 20e-6;
    const volume = capVolume({ contactDiameter, contactAngle: resin.contactAngle });
    const byVolume = readingErrorOfVolume({ ...resin, volume, readingError: 1e-6 });
    expect(byVolume).toBeCloseTo(1.05 ** 3 - 1, 4);
  });
});

describe('shots on one circle', () => {
  const p = { ...resin, shotVolume: 2.1e-9, readingError: 1e-4, tolerance: 0.1 };
  const shotsFor = (q: typeof p) => shotsPerCircle({ ...q, errorOf: volume => readingErrorOfVolume({ ...q, volume }) });

  test('are the fewest whose misreading is at most half the tolerance', () => {
    const n = shotsFor(p);
    expect(n).toBeGreaterThan(1);
    expect(readingErrorOfVolume({ ...p, volume: n * p.shotVolume })).toBeLessThanOrEqual(0.05);
    expect(readingErrorOfVolume({ ...p, volume: (n - 1) * p.shotVolume })).toBeGreaterThan(0.05);
  });

  test('for caps follow by hand: (1 + e/d)³ ≤ 1.05 needs d ≥ 60.99 e, and V goes with d³', () => {
    // one shot of 10 µm, e = 1 µm: 1/(1.05^(1/3) − 1) = 61.0 times e, so (61.0/10)³ = 226.9 shots, rounded up
    const volume = capVolume({ contactDiameter: 10e-6, contactAngle: resin.contactAngle });
    const byHand = Math.ceil((1 / (1.05 ** (1 / 3) - 1) / 10) ** 3);
    const found = shotsFor({ ...p, shotVolume: volume, readingError: 1e-6 });
    expect(Math.abs(found - byHand)).toBeLessThanOrEqual(1); // gravity moves the edge by less than one shot
  });

  test('are one where one dot tells enough, and more the finer the tolerance', () => {
    expect(shotsFor({ ...p, tolerance: 2 })).toBe(1);
    // A puddle read to 0.1 mm would have to be kilometres across: the search ends all the same.
    expect(shotsFor({ ...p, tolerance: 1e-11 })).toBe(MOST_SHOTS);
    expect(shotsFor({ ...p, tolerance: 0.02 })).toBeGreaterThan(shotsFor(p));
  });

  test('refuses wrong calls', () => {
    expect(() => shotsFor({ ...p, tolerance: 0 })).toThrow(DomainError);
    expect(() => shotsFor({ ...p, shotVolume: -1 })).toThrow(DomainError);
    expect(() => shotsFor({ ...p, readingError: 0 })).toThrow(DomainError);
  });
});
