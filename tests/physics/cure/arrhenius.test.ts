import { describe, expect, it } from 'vitest';
import { DomainError } from '../../../src/numeric/domain-error.ts';
import { arrheniusFactor, GAS_CONSTANT } from '../../../src/physics/cure/arrhenius.ts';

const relative = (value: number, expected: number) => Math.abs(value / expected - 1);

describe('arrheniusFactor', () => {
  it('takes R from the exact Boltzmann and Avogadro constants of the SI', () => {
    expect(relative(GAS_CONSTANT, 1.380649e-23 * 6.02214076e23)).toBeLessThan(1e-14);
  });

  // E = R·1000 K: ln factor = 1000·(1/T − 1/T_ref); between 250 K and 500 K that is 1000·(1/250 − 1/500) = 2
  it('gives a hand value', () => {
    const factor = arrheniusFactor({
      activationEnergy: 1000 * GAS_CONSTANT,
      temperature: 250,
      referenceTemperature: 500,
    });
    expect(relative(factor, Math.exp(2))).toBeLessThan(1e-14);
  });

  // 60 kJ/mol from 25 to 23 °C: 60000/8.314463·(1/296.15 − 1/298.15) = 0.163456; e^… = 1.17757 (hand, 6 digits)
  it('thickens a resin that is colder than the reference by some 8 % a kelvin', () => {
    const factor = arrheniusFactor({ activationEnergy: 60e3, temperature: 296.15, referenceTemperature: 298.15 });
    expect(relative(factor, 1.17757)).toBeLessThan(1e-5);
  });

  it('is one at the reference, and the product of its steps', () => {
    const factor = (temperature: number, referenceTemperature: number) =>
      arrheniusFactor({ activationEnergy: 60e3, temperature, referenceTemperature });
    expect(factor(298.15, 298.15)).toBe(1);
    expect(relative(factor(280, 290) * factor(290, 298.15), factor(280, 298.15))).toBeLessThan(1e-14);
    expect(relative(factor(280, 298.15) * factor(298.15, 280), 1)).toBeLessThan(1e-14);
    expect(arrheniusFactor({ activationEnergy: 0, temperature: 280, referenceTemperature: 298.15 })).toBe(1);
  });

  it('refuses temperatures that are none', () => {
    for (const bad of [{ temperature: 0 }, { referenceTemperature: -5 }, { activationEnergy: Number.NaN }]) {
      const input = { activationEnergy: 60e3, temperature: 296.15, referenceTemperature: 298.15, ...bad };
      expect(() => arrheniusFactor(input)).toThrow(DomainError);
    }
  });
});
