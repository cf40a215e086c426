import * as fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { loadEngine } from '../../src/units/engine.ts';
import { parseQuantity, parseTolerance } from '../../src/units/parse-quantity.ts';
import { QUANTITY_KINDS, type QuantityKind } from '../../src/units/quantity-kind.ts';

const si = (text: string, kind: QuantityKind) => {
  const result = parseQuantity(text, kind);
  if (!result.ok) throw new Error(`${text}: ${result.code}: ${result.message}`);
  return result;
};
const code = (text: string, kind: QuantityKind) => {
  const result = parseQuantity(text, kind);
  return result.ok ? `read as ${result.value}` : result.code;
};

describe('before the engine is loaded', () => {
  test('plain quantities do without it, expressions and rare units ask for it', () => {
    expect(si('210 kPa', 'pressure').value).toBe(210_000);
    expect(si('0.3 dm^3/(s.bar)', 'conductance').value).toBeCloseTo(3e-9, 24);
    expect(code('= 2 mm', 'length')).toBe('engine-needed');
    expect(code('2 yards', 'length')).toBe('engine-needed');
  });
});

describe('with the engine', () => {
  beforeAll(async () => {
    await loadEngine();
  });

  // SI values from the definitions: NIST SP 811 (2008) appendix B for the trade's units, powers of ten for the rest.
  test.each<[string, QuantityKind, number]>([
    ['100 psi', 'pressure', 689475.7293168361],
    ['1 inHg', 'pressure', 3386.388640341],
    ['760 mmHg', 'pressure', 101325.0144354],
    ['2.1 bar', 'pressure', 210_000],
    ['1 atm', 'pressure', 101_325],
    ['2400 cP', 'viscosity', 2.4],
    ['24 P', 'viscosity', 2.4],
    ['2400 mPa s', 'viscosity', 2.4],
    ['2400 mPa·s', 'viscosity', 2.4],
    ['0.5 in', 'length', 0.0127],
    ['16 mil', 'length', 406.4e-6],
    ['16 thou', 'length', 406.4e-6],
    ['126 um', 'length', 126e-6],
    ['126 \u00b5m', 'length', 126e-6],
    ['126 \u03bcm', 'length', 126e-6],
    ['3 cc', 'volume', 3e-6],
    ['3 uL', 'volume', 3e-9],
    ['3 \u00b5L', 'volume', 3e-9],
    ['3 \u03bcL', 'volume', 3e-9],
    ['3 ml', 'volume', 3e-6],
    ['12.1 mg', 'mass', 12.1e-6],
    ['1.15 g/cc', 'density', 1150],
    ['1.15 g/cm³', 'density', 1150],
    ['1150 kg/m^3', 'density', 1150],
    ['42 dyn/cm', 'surface tension', 0.042],
    ['42 mN/m', 'surface tension', 0.042],
    ['32 degF', 'temperature', 273.15],
    ['212 °F', 'temperature', 373.15],
    ['25 °C', 'temperature', 298.15],
    ['-40 degC', 'temperature', 233.15],
    ['180 deg', 'angle', Math.PI],
    ['60 kJ/mol', 'molar energy', 60_000],
    ['14.3 kcal/mol', 'molar energy', 59_831.2],
    ['120 1/min', 'rate', 2],
    ['2 s^-1', 'rate', 2],
    ['2.0e6 1/s', 'rate', 2e6],
    ['90 min', 'time', 5400],
    ['1.5 h', 'time', 5400],
    ['60 ms', 'time', 0.06],
    ['3 %', 'percentage', 0.03],
    ['1.5', 'factor', 1.5],
    ['150 %', 'factor', 1.5],
    ['\u22125 kPa', 'pressure', -5000],
    ['210kPa', 'pressure', 210_000],
    ['= 2 * 1.15 mm + 40 um', 'length', 2.34e-3],
    ['= sqrt(4 mm^2) / 2', 'length', 1e-3],
    ['= pi * (0.5 mm)^2 * 4 mm', 'volume', Math.PI * 1e-9],
    ['= -(1 - 3) * 0.5 in', 'length', 0.0254],
    ['= 3 mm / 2 mm', 'factor', 1.5],
    ['= 2^3^0.5 mm', 'length', 2 ** (3 ** 0.5) * 1e-3],
    ['5 kg m^-1 s^-1', 'viscosity', 5],
    ['2 yards', 'length', 1.8288],
    ['1 N/mm^2', 'pressure', 1e6],
  ])('%s as %s', (text, kind, expected) => {
    // A few roundings of the unit factor at most.
    expect(Math.abs(si(text, kind).value - expected)).toBeLessThanOrEqual(
      4e-16 * 4 * Math.abs(expected) + 1e-13 * Number(kind === 'temperature'),
    );
  });

  test.each<[string, QuantityKind, number, number]>([
    ['126 ± 0.5 um', 'length', 126e-6, 0.5e-6],
    ['126 um ± 0.5 um', 'length', 126e-6, 0.5e-6],
    ['126 um +/- 0.5 \u00b5m', 'length', 126e-6, 0.5e-6],
    ['0.5 in ± 2 mil', 'length', 0.0127, 50.8e-6],
    ['2.4 Pa.s ± 15 %', 'viscosity', 2.4, 0.36],
    ['23 ± 2 degC', 'temperature', 296.15, 2],
    ['23 degC ± 2 K', 'temperature', 296.15, 2],
    ['50 ± 9 degF', 'temperature', 283.15, 5],
    ['1 ± 5 %', 'factor', 1, 0.05],
    ['1 ± 0.05', 'factor', 1, 0.05],
    ['3 ± 0.5 %', 'percentage', 0.03, 0.005],
    ['0 ± 1 kPa', 'pressure', 0, 1000],
    ['-5 kPa ± 10 %', 'pressure', -5000, 500],
  ])('%s as %s with its tolerance', (text, kind, value, halfWidth) => {
    const found = si(text, kind);
    expect(found.value).toBeCloseTo(value, 12);
    expect(found.halfWidth).toBeCloseTo(halfWidth, 12);
  });

  test.each<[string, QuantityKind, string]>([
    ['12 mm', 'pressure', 'unit-mismatch'],
    ['12', 'pressure', 'unit-missing'],
    ['1,5 mm', 'length', 'number-invalid'],
    ['1 000 mm', 'length', 'number-invalid'],
    ['0x10 mm', 'length', 'number-invalid'],
    ['1e999 mm', 'length', 'number-invalid'],
    ['Infinity mm', 'length', 'number-invalid'],
    ['NaN mm', 'length', 'number-invalid'],
    ['mm', 'length', 'number-invalid'],
    ['', 'length', 'number-invalid'],
    ['mPa s', 'viscosity', 'number-invalid'],
    ['12.5 3 Pa.s', 'viscosity', 'number-invalid'],
    ['2 PA', 'pressure', 'unit-mismatch'],
    ['2 furlongs', 'length', 'unit-unknown'],
    ['2 mm mm', 'length', 'unit-mismatch'],
    ['2 3mm', 'length', 'number-invalid'],
    ['2 mm 3', 'volume', 'unit-unknown'],
    ['2 3 mm', 'length', 'number-invalid'],
    ['60 J/kg K', 'molar energy', 'unit-ambiguous'],
    ['23 C', 'temperature', 'unit-mismatch'],
    ['30 %', 'angle', 'unit-mismatch'],
    ['30 deg', 'percentage', 'unit-mismatch'],
    ['3', 'percentage', 'unit-missing'],
    ['126 um ± 0.5', 'length', 'unit-missing'],
    ['126 ± 15 %', 'length', 'unit-missing'],
    ['126 um ± 0.5 s', 'length', 'unit-mismatch'],
    ['126 um ± -1 um', 'length', 'tolerance-invalid'],
    ['126 um ± um', 'length', 'tolerance-invalid'],
    ['1 ± 1 ± 1 mm', 'length', 'tolerance-invalid'],
    ['1 ± 1 mm', 'length', 'tolerance-too-wide'],
    ['1 mm ± 100 %', 'length', 'tolerance-too-wide'],
    ['23 degC ± 5 %', 'temperature', 'tolerance-invalid'],
    ['= 2 m + 3 s', 'length', 'expression-invalid'],
    ['= 2', 'length', 'unit-missing'],
    ['= 2 s', 'length', 'unit-mismatch'],
    ['= 1 mm / 0', 'length', 'expression-invalid'],
    ['= sqrt(-1) * 1 mm', 'length', 'expression-invalid'],
    ['= 23 degC', 'temperature', 'expression-invalid'],
    ['= 10^400 mm', 'length', 'expression-invalid'],
    ['= 1e300 * 1e300 mm', 'length', 'expression-invalid'],
    ['=', 'length', 'expression-invalid'],
    ['= 1 mm ± 0.1 mm', 'length', 'expression-invalid'],
    ['= 0x10 mm', 'length', 'expression-invalid'],
    ['= 2 Pa.s^n', 'consistency', 'expression-invalid'],
  ])('%s as %s is refused: %s', (text, kind, expected) => {
    expect(code(text, kind)).toBe(expected);
  });

  test.each([
    '= process.exit(1)',
    '= import("fs")',
    '= x = 2 mm',
    '= f(x) = x',
    '= [1 mm, 2 mm][1]',
    '= {a: 1 mm}.a',
    '= "1 mm"',
    '= 1 mm; 2 mm',
    '= 1 mm to um',
    '= true ? 1 mm : 2 mm',
    '= 5 mod 3 * 1 mm',
    '= 3! * 1 mm',
    '= sin(1) * 1 mm',
    '= sqrt(1 mm^2, 2)',
    '= i * 1 mm',
    '= constructor * 1 mm',
    '= 1 mm > 0 mm',
    '= (1 mm)^99',
    `= ${'('.repeat(150)}1 mm${')'.repeat(150)}`,
    `= ${'1 mm + '.repeat(200)}1 mm`,
  ])('%s is nothing a recipe can say', text => {
    expect(['expression-invalid', 'unit-unknown']).toContain(code(text, 'length'));
  });

  test('says which units would do, and what a misspelt one was meant to be', () => {
    const wrong = parseQuantity('12 mm', 'pressure');
    expect(!wrong.ok && wrong.message).toBe('"12 mm" is not a pressure; write e.g. kPa, bar or psi');
    const near = parseQuantity('210 kpa', 'pressure');
    expect(!near.ok && near.message).toMatch(/did you mean "kPa"\?/);
    const shouted = parseQuantity('2 PA', 'pressure'); // petaampere to mathjs
    expect(!shouted.ok && shouted.help).toBe('did you mean "Pa"?');
  });

  test('a consistency keeps the exponent of its second', () => {
    expect(si('9.5 Pa.s^n', 'consistency')).toMatchObject({ value: 9.5, timeExponent: 'n' });
    expect(si('9500 mPa.s^0.71', 'consistency')).toMatchObject({ value: 9.5, timeExponent: 0.71 });
    expect(si('9.5 Pa s', 'consistency').timeExponent).toBe(1);
    expect(si('9.5 Pa.s^n ± 10 %', 'consistency').halfWidth).toBeCloseTo(0.95, 12);
    expect(code('9.5 mm.s^n', 'consistency')).toBe('unit-mismatch');
    expect(code('9.5 Pa.s^n ± 1 Pa.s^0.5', 'consistency')).toBe('tolerance-invalid');
  });

  test('a tolerance that stands apart is read the same way', () => {
    expect(parseTolerance('0.5 um', 'length', { value: 126e-6 })).toBe(0.5e-6);
    expect(parseTolerance('15 %', 'viscosity', { value: 2.4 })).toBeCloseTo(0.36, 12);
    expect(parseTolerance('2 degC', 'temperature', { value: 296.15 })).toBe(2);
    expect(parseTolerance('0.05', 'factor', { value: 1 })).toBe(0.05);
    expect(parseTolerance('1 %', 'percentage', { value: 0.03 })).toBe(0.01);
    expect(parseTolerance('2 s', 'length', { value: 1 })).toMatchObject({ code: 'unit-mismatch' });
    expect(parseTolerance('0.5', 'length', { value: 1 })).toMatchObject({ code: 'unit-missing' });
  });

  test('never throws, and what it reads is finite, whatever the text', () => {
    const pieces = fc.constantFrom(
      '1',
      '2.5',
      '-3',
      '1e5',
      'mm',
      'kPa',
      'Pa.s',
      '%',
      ' ± ',
      '=',
      '(',
      ')',
      '^',
      '*',
      '/',
      '.',
      'sqrt',
      'pi',
      ' ',
      'degC',
      '\u00b5m',
      '\u0000',
      ',',
      '"',
    );
    const texts = fc.oneof(
      fc.string({ maxLength: 40 }),
      fc.array(pieces, { maxLength: 14 }).map(p => p.join('')),
    );
    fc.assert(
      fc.property(texts, fc.constantFrom(...QUANTITY_KINDS), (text, kind) => {
        const result = parseQuantity(text, kind);
        if (result.ok)
          expect(Number.isFinite(result.value) && (result.halfWidth === null || result.halfWidth >= 0)).toBe(true);
        else expect(result.code).not.toBe('engine-needed');
      }),
      { seed: 20, numRuns: 3000 },
    );
  });
});

describe('what would do', () => {
  test.each<[string, QuantityKind, string]>([
    ['0.4', 'length', 'write it like 0.4 mm'],
    ['126 ± 0.5', 'length', 'write it like 126 ± 0.5 mm'],
    ['2.4 ± 15 %', 'viscosity', 'write it like 2.4 Pa.s'],
    ['12 mm', 'pressure', 'write it like 12 kPa'],
    ['-3', 'temperature', 'write it like -3 degC'],
    ['1.1 mm', 'factor', 'write it like 1.1'],
    ['40,5 s', 'time', 'write it like "40.5 s"'],
    ['3', 'percentage', 'write it like 3 %'],
    ['0.07', 'percentage', 'a share of 0.07 is written 7 %'],
    [`${'1'.repeat(40)}`, 'mass', 'write it like 1.5 mg'],
    ['about 5', 'time', 'write it like 1.5 s'],
  ])('%j for a %s: %s', (text, kind, help) => {
    const result = parseQuantity(text, kind);
    expect(!result.ok && result.help).toBe(help);
    // Taken at its word it is a quantity.
    const example = /like "?([^"]*)"?$/.exec(help)?.[1];
    if (example !== undefined) expect(parseQuantity(example, kind).ok).toBe(true);
  });
});
