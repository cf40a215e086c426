import { describe, expect, it } from 'vitest';
import { quantityParts } from '../../src/units/quantity-parts.ts';

describe('a list of quantities', () => {
  it('gives the unit of the last to those without', () => {
    expect(quantityParts('5.5, 5.6,5.45 mm').map(({ text }) => text)).toEqual(['5.5 mm', '5.6 mm', '5.45 mm']);
    expect(quantityParts('3.6mm,3700um').map(({ unit }) => unit)).toEqual(['mm', 'um']);
  });

  it('says the last digit of each', () => {
    const digits = (list: string) => quantityParts(list).map(({ lastDigit }) => lastDigit);
    expect(digits('5.45, .5, 12, 1.5e-3 mm')).toEqual(['1e-2 mm', '1e-1 mm', '1e0 mm', '1e-4 mm']);
  });

  it('leaves what is no number, and has no unit where the list gives none', () => {
    expect(quantityParts('5.5, 5.6')).toEqual([
      { text: '5.5', unit: null, lastDigit: '1e-1' },
      { text: '5.6', unit: null, lastDigit: '1e-1' },
    ]);
    expect(quantityParts('x mm, 3 mm')[0]).toEqual({ text: 'x mm', unit: null, lastDigit: 'x mm' });
  });
});
