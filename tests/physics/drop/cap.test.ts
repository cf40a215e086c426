import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { capContactDiameter, capSeenDiameter, capVolume } from '../../../src/physics/drop/cap.ts';

const degree = Math.PI / 180;

describe('the spherical cap', () => {
  // V = π·r³·(2 − 3c + c³)/(3s³) at r = 1 mm, six digits in µL (worked out from the formula in c and s, not in tan θ/2)
  test.each([
    [20, 0.279844],
    [30, 0.430967],
    [45, 0.687856],
    [60, 1.007666],
    [90, 2.094395],
  ])('holds the tabled volume at %d°', (angle, microlitres) => {
    const volume = capVolume({ contactDiameter: 2e-3, contactAngle: angle * degree });
    expect(volume * 1e9).toBeCloseTo(microlitres, 6);
  });

  test('is half a sphere at 90°: 2πr³/3', () => {
    expect(capVolume({ contactDiameter: 2, contactAngle: Math.PI / 2 })).toBeCloseTo((2 * Math.PI) / 3, 14);
  });

  test('approaches the whole sphere near 180°: 4πR³/3 with R = r/sin θ', () => {
    const contactAngle = 179.9 * degree;
    const contactDiameter = 2 * Math.sin(contactAngle); // R = 1
    expect(capVolume({ contactDiameter, contactAngle })).toBeCloseTo((4 * Math.PI) / 3, 9);
  });

  test('shows the sphere’s own diameter beyond 90°, the contact line up to there', () => {
    expect(capSeenDiameter({ contactDiameter: 1, contactAngle: 150 * degree })).toBeCloseTo(2, 12); // sin 150° = 1/2
    expect(capSeenDiameter({ contactDiameter: 1, contactAngle: 60 * degree })).toBe(1);
  });

  test('gives its diameter back from its volume', () => {
    const angle = fc.double({ min: 0.01, max: 3.1, noNaN: true });
    const diameter = fc.double({ min: 1e-6, max: 1, noNaN: true });
    fc.assert(
      fc.property(angle, diameter, (contactAngle, contactDiameter) => {
        const back = capContactDiameter({ volume: capVolume({ contactDiameter, contactAngle }), contactAngle });
        expect(Math.abs(back / contactDiameter - 1)).toBeLessThan(1e-14);
      }),
      { seed: 1 },
    );
  });

  test.each([
    { contactDiameter: 0, contactAngle: 1 },
    { contactDiameter: -1, contactAngle: 1 },
    { contactDiameter: Number.NaN, contactAngle: 1 },
    { contactDiameter: 1, contactAngle: 0 },
    { contactDiameter: 1, contactAngle: Math.PI },
    { contactDiameter: 1, contactAngle: Number.NaN },
  ])('refuses %o', cap => {
    expect(() => capVolume(cap)).toThrow(DomainError);
  });
});
