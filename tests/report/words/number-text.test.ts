import { describe, expect, it } from 'vitest';
import { fixedText, numberText, quantityText, signedPercent } from '../../../src/report/words/number-text.ts';

describe('numbers for people', () => {
  it.each([
    [1.23456, 3, '1.23'],
    [0.012345, 3, '0.0123'],
    [12345.6, 3, '12346'],
    [999.6, 3, '1000'],
    [9.996, 3, '10.0'],
    [-2.5, 2, '-2.5'],
    [0, 3, '0'],
    [1.2e-7, 3, '1.20e-7'],
    [5.5e12, 2, '5.5e+12'],
    [null, 3, '–'],
    [undefined, 3, '–'],
  ])('%s with %i digits is %s', (value, digits, text) => {
    expect(numberText(value, digits)).toBe(text);
  });

  it('a value that does not apply has no unit', () => {
    expect(quantityText(210, 'kPa')).toBe('210 kPa');
    expect(quantityText(null, 'kPa')).toBe('–');
  });

  it.each([
    [0.531, 2, '0.53'],
    [-0.001, 2, '0.00'],
    [null, 2, '–'],
  ])('%s to %i decimals is %s', (value, decimals, text) => {
    expect(fixedText(value, decimals)).toBe(text);
  });

  it.each([
    [2.04, '+2.0 %'],
    [-2.04, '-2.0 %'],
    [0.01, '0.0 %'],
    [-0.01, '0.0 %'],
    [null, '–'],
  ])('%s as a signed percentage is %s', (value, text) => {
    expect(signedPercent(value)).toBe(text);
  });
});
