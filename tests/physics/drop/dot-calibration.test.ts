import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { capVolume } from '../../../src/physics/drop/cap.ts';
import { fitContactAngle } from '../../../src/physics/drop/dot-calibration.ts';
import { dropFromVolume } from '../../../src/physics/drop/drop.ts';

const degree = Math.PI / 180;
const resin = { surfaceTension: 42e-3, density: 1150, readingError: 1e-4 };
/** Dots of 1 to 10 µm: caps to better than 1e-5. */
const tiny = [1e-6, 3e-6, 10e-6];

describe('fitContactAngle', () => {
  test('finds the angle of dots made by the cap formula', () => {
    const dots = tiny.map(d => ({ volume: capVolume({ contactDiameter: d, contactAngle: 40 * degree }), diameter: d }));
    const fit = fitContactAngle({ ...resin, dots });
    expect(fit.contactAngle / degree).toBeCloseTo(40, 3);
    expect(fit.atLimit).toBe(false);
  });

  test('finds the angle of dots made by the drop model, whatever their sizes', () => {
    const volumes = fc.array(fc.double({ min: 0.1, max: 50, noNaN: true }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(fc.double({ min: 6, max: 170, noNaN: true }), volumes, (angle, microlitres) => {
        const dots = microlitres.map(v => {
          const drop = dropFromVolume({ ...resin, volume: v * 1e-9, contactAngle: angle * degree });
          return { volume: v * 1e-9, diameter: drop.seenDiameter };
        });
        expect(Math.abs(fitContactAngle({ ...resin, dots }).contactAngle / degree - angle)).toBeLessThan(1e-5);
      }),
      { seed: 1, numRuns: 30 },
    );
  });

  test('gives a hand value of the uncertainty', () => {
    // Two small caps of one volume, read 1 % too wide and 1 % too narrow. ln D = −(1/3)·ln f(θ), f = t(3 + t²),
    // t = tan(θ/2), dt/dθ = (1 + t²)/2, df/dt = 3(1 + t²): g = −(1 + t²)²/(2f). u = s/√Σg² with s = √(2·0.01²/1).
    const contactAngle = 60 * degree;
    const t = Math.tan(30 * degree);
    const g = (1 + t * t) ** 2 / (2 * t * (3 + t * t));
    const volume = capVolume({ contactDiameter: 5e-6, contactAngle });
    const dots = [1, -1].map(sign => ({ volume, diameter: 5e-6 * Math.exp(0.01 * sign) }));
    const fit = fitContactAngle({ ...resin, dots });
    expect(fit.contactAngle / degree).toBeCloseTo(60, 3);
    expect(fit.residualStandardDeviation).toBeCloseTo(0.01 * Math.SQRT2, 8);
    expect(fit.standardUncertainty / (0.01 / g)).toBeCloseTo(1, 4); // gravity and the central difference
    expect(fit.basis).toBe('scatter');
    expect(fit.degreesOfFreedom).toBe(1);
    expect(fit.residuals.map(r => r.residual)[0]).toBeCloseTo(0.01, 5);
  });

  test('takes the reading error for a single dot: e/√3 over the diameter', () => {
    const contactAngle = 60 * degree;
    const t = Math.tan(30 * degree);
    const g = (1 + t * t) ** 2 / (2 * t * (3 + t * t));
    const dots = [{ volume: capVolume({ contactDiameter: 1e-5, contactAngle }), diameter: 1e-5 }];
    const fit = fitContactAngle({ ...resin, readingError: 1e-7, dots });
    expect(fit.basis).toBe('reading-error');
    expect(fit.standardUncertainty / (0.01 / Math.sqrt(3) / g)).toBeCloseTo(1, 4);
    expect(fit.residualStandardDeviation).toBeNull();
    expect(fit.trend).toBeNull();
  });

  test('shows the trend of residuals that grow with size', () => {
    // Diameters stretched by (D/3 mm)^0.05: residual 0.05·ln(D/3 mm) less its mean, over ln d = 1.05·ln D + …
    const dots = [0.5, 1, 2, 4, 8, 16].map(v => {
      const { seenDiameter } = dropFromVolume({ ...resin, volume: v * 1e-9, contactAngle: 30 * degree });
      return { volume: v * 1e-9, diameter: seenDiameter * (seenDiameter / 3e-3) ** 0.05 };
    });
    const trend = fitContactAngle({ ...resin, dots }).trend;
    expect(trend?.slope).toBeCloseTo(0.05 / 1.05, 2); // the fitted angle takes a little of it up
    expect(Math.abs(trend?.slope ?? 0) / (trend?.standardError ?? 1)).toBeGreaterThan(20);
    expect(trend?.degreesOfFreedom).toBe(4);
  });

  test('knows the trend as well as its correlation says: |b|·√((1/ρ² − 1)/(n − 2))', () => {
    // Standard error of a regression slope through the correlation coefficient, as in any textbook of statistics (from memory).
    const scatter = [0.02, -0.01, 0.005, -0.03, 0.015];
    const dots = [0.5, 1, 2, 4, 8].map((v, i) => {
      const { seenDiameter } = dropFromVolume({ ...resin, volume: v * 1e-9, contactAngle: 30 * degree });
      return { volume: v * 1e-9, diameter: seenDiameter * (1 + scatter[i]!) };
    });
    const { residuals, trend } = fitContactAngle({ ...resin, dots });
    const centred = (values: number[]) => values.map(v => v - values.reduce((a, b) => a + b, 0) / values.length);
    const x = centred(residuals.map(r => Math.log(r.diameter)));
    const y = centred(residuals.map(r => r.residual));
    const product = (a: number[], b: number[]) => a.reduce((sum, v, i) => sum + v * b[i]!, 0);
    const correlation = product(x, y) / Math.sqrt(product(x, x) * product(y, y));
    const expected = Math.abs(trend!.slope) * Math.sqrt((1 / correlation ** 2 - 1) / (5 - 2));
    expect(trend!.standardError / expected).toBeCloseTo(1, 9);
    expect(trend!.degreesOfFreedom).toBe(3);
  });

  test('says nothing of a trend where all dots are of one size', () => {
    const dots = [0, 1, 2].map(() => ({ volume: 2e-9, diameter: 3.4e-3 }));
    expect(fitContactAngle({ ...resin, dots }).trend).toBeNull();
  });

  test('stops at the limits of the model and says so', () => {
    const wide = fitContactAngle({ ...resin, dots: [{ volume: 1e-9, diameter: 50e-3 }] });
    expect(wide.atLimit).toBe(true);
    expect(wide.contactAngle / degree).toBeCloseTo(5, 9);
    const narrow = fitContactAngle({ ...resin, dots: [{ volume: 1e-9, diameter: 1e-4 }] });
    expect(narrow.atLimit).toBe(true);
    expect(narrow.contactAngle / degree).toBeCloseTo(175, 9);
  });

  test('refuses wrong calls', () => {
    expect(() => fitContactAngle({ ...resin, dots: [] })).toThrow(DomainError);
    expect(() => fitContactAngle({ ...resin, dots: [{ volume: 0, diameter: 1e-3 }] })).toThrow(DomainError);
    expect(() => fitContactAngle({ ...resin, dots: [{ volume: 1e-9, diameter: Number.NaN }] })).toThrow(DomainError);
    const one = [{ volume: 1e-9, diameter: 1e-3 }];
    expect(() => fitContactAngle({ ...resin, density: -1, dots: one })).toThrow(DomainError);
    expect(() => fitContactAngle({ ...resin, readingError: 0, dots: one })).toThrow(DomainError);
  });
});
