import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { capVolume } from '../../../src/physics/drop/cap.ts';
import { fibreBeadDiameter, fibreBeadVolume } from '../../../src/physics/drop/fibre-bead.ts';

describe('a bead with a fibre through it', () => {
  test('is half a sphere less a cylinder of its height at 90°: π·d³/12 − π·f²·d/8', () => {
    const volume = fibreBeadVolume({ diameter: 2, contactAngle: Math.PI / 2, fibreDiameter: 0.5 });
    expect(volume).toBeCloseTo((2 * Math.PI) / 3 - Math.PI / 16, 12);
  });

  test('without a fibre is the cap', () => {
    const bead = { contactAngle: 1, fibreDiameter: 0 };
    expect(fibreBeadVolume({ ...bead, diameter: 3 })).toBeCloseTo(
      capVolume({ contactDiameter: 3, contactAngle: 1 }),
      14,
    );
    expect(fibreBeadDiameter({ ...bead, volume: capVolume({ contactDiameter: 3, contactAngle: 1 }) })).toBeCloseTo(
      3,
      12,
    );
  });

  test('gives its diameter back from its volume, from a film round the fibre to a bead far wider', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.05, max: 3, noNaN: true }),
        fc.double({ min: -6, max: 6, noNaN: true }).map(e => 10 ** e),
        (contactAngle, volume) => {
          const bead = { contactAngle, fibreDiameter: 1 };
          const diameter = fibreBeadDiameter({ ...bead, volume });
          // a thin film is the small difference of cap and fibre: held against the cap
          const cap = capVolume({ contactDiameter: diameter, contactAngle });
          expect(Math.abs(fibreBeadVolume({ ...bead, diameter }) - volume)).toBeLessThan(1e-13 * cap);
        },
      ),
      { seed: 1 },
    );
  });

  test('is wider with the fibre in it than without', () => {
    const volume = 1e-3;
    const thin = fibreBeadDiameter({ volume, contactAngle: 1, fibreDiameter: 0 });
    expect(fibreBeadDiameter({ volume, contactAngle: 1, fibreDiameter: 0.1 })).toBeGreaterThan(thin);
  });

  test.each([
    { volume: 0, contactAngle: 1, fibreDiameter: 1 },
    { volume: 1, contactAngle: 0, fibreDiameter: 1 },
    { volume: 1, contactAngle: Math.PI, fibreDiameter: 1 },
    { volume: 1, contactAngle: 1, fibreDiameter: -1 },
    { volume: Number.NaN, contactAngle: 1, fibreDiameter: 1 },
  ])('refuses %o', bad => {
    expect(() => fibreBeadDiameter(bad)).toThrow(DomainError);
  });
});
