import * as fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { sameDimension } from '../../src/units/dimension.ts';
import { type Engine, loadEngine } from '../../src/units/engine.ts';
import { formatQuantity, inUnit, isUnitOf, UnitError, unitFactor } from '../../src/units/format-quantity.ts';
import { parseQuantity } from '../../src/units/parse-quantity.ts';
import { kindFacts, QUANTITY_KINDS } from '../../src/units/quantity-kind.ts';
import { differenceToSi, fromSi, toSi } from '../../src/units/unit-scale.ts';
import { tableUnit, tableUnitNames } from '../../src/units/unit-table.ts';

let engine: Engine;
beforeAll(async () => {
  engine = await loadEngine();
});

// What mathjs calls otherwise, or means otherwise.
const OTHER_NAME: Readonly<Record<string, string>> = { dyn: 'dyne', Torr: 'torr' };
const NOT_IN_MATHJS = /^([ucmd]?P|thou|inHg|mmHg|c?St|ppm|k?cal|mdyn)$/;

describe('the table', () => {
  test('agrees with mathjs on every simple unit that both know', () => {
    let compared = 0;
    for (const name of tableUnitNames().filter(n => /^[A-Za-z]+$/.test(n) && !/^deg[CF]$/.test(n))) {
      const theirs = engine.unit(OTHER_NAME[name] ?? name);
      const ours = tableUnit(name)!;
      if (theirs === null || NOT_IN_MATHJS.test(name)) {
        expect(NOT_IN_MATHJS.test(name), `${name} is unknown to mathjs`).toBe(true);
        continue;
      }
      // mathjs rounds psi and lbf to 11 digits and the torr to 6; everything else agrees to the last few bits.
      const tolerance = name === 'Torr' ? 1e-5 : /^(psi|lbf)$/.test(name) ? 1e-9 : 1e-14;
      expect(Math.abs(ours.factor / ours.divisor / theirs.factor - 1), name).toBeLessThan(tolerance);
      expect(sameDimension(ours.dimension, theirs.dimension), name).toBe(true);
      compared += 1;
    }
    expect(compared).toBeGreaterThan(60);
  });

  test('holds the exact values of what mathjs does not know', () => {
    expect(unitFactor('psi', 'pressure')).toBe(6894.757293168361);
    expect(unitFactor('inHg', 'pressure') / unitFactor('mmHg', 'pressure')).toBeCloseTo(25.4, 12);
    expect(unitFactor('cP', 'viscosity')).toBe(0.001);
    expect(unitFactor('thou', 'length')).toBe(25.4e-6);
    expect(unitFactor('g/mL', 'density')).toBe(1000);
    expect(unitFactor('kcal/mol', 'molar energy')).toBe(4184);
    expect(tableUnit('cSt')).toMatchObject({ factor: 1, divisor: 1e6 });
  });

  test('every unit that a message proposes measures its kind', () => {
    for (const kind of QUANTITY_KINDS) {
      for (const unit of kindFacts(kind).units) {
        expect(parseQuantity(`1.5 ${unit}`, kind).ok, `${unit} for ${kind}`).toBe(true);
      }
    }
  });

  test('there and back gives the number again', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...tableUnitNames()),
        fc.integer({ min: -1e9, max: 1e9 }).map(n => n / 1000),
        (name, x) => {
          const unit = tableUnit(name)!;
          // A shifted zero costs digits of small numbers: up to 460·2⁻⁵².
          const absolute = unit.offset === 0 ? 0 : 1e-12;
          expect(Math.abs(fromSi(toSi(x, unit), unit) - x)).toBeLessThanOrEqual(1e-14 * Math.abs(x) + absolute);
          const difference = toSi(x, unit) - toSi(0, unit);
          expect(Math.abs(differenceToSi(x, unit) - difference)).toBeLessThanOrEqual(
            1e-13 * Math.abs(difference) + absolute,
          );
        },
      ),
      { seed: 7, numRuns: 2000 },
    );
  });

  test('a text of a value reads back as the value', () => {
    const cases = QUANTITY_KINDS.flatMap(kind =>
      kindFacts(kind)
        .units.filter(u => tableUnit(u) !== null)
        .map(unit => [kind, unit] as const),
    );
    fc.assert(
      fc.property(fc.constantFrom(...cases), fc.double({ min: 1e-3, max: 1e6, noNaN: true }), ([kind, unit], x) => {
        const si = toSi(x, tableUnit(unit)!);
        const back = parseQuantity(formatQuantity(si, unit, 17), kind);
        expect(back.ok && Math.abs(back.value / si - 1)).toBeLessThan(1e-12);
      }),
      { seed: 8, numRuns: 1000 },
    );
  });
});

describe('formatting', () => {
  test('rounds for people', () => {
    expect(formatQuantity(210_000, 'kPa')).toBe('210 kPa');
    expect(formatQuantity(206842.71879505, 'psi')).toBe('30 psi');
    expect(formatQuantity(1.23456789e-9, 'uL', 4)).toBe('1.235 uL');
    expect(formatQuantity(296.15, 'degC')).toBe('23 degC');
    expect(inUnit(3386.388640341, 'inHg')).toBeCloseTo(1, 14);
  });

  test('a name that is no unit is a wrong call', () => {
    expect(() => unitFactor('mm', 'pressure')).toThrow(UnitError);
    expect(() => formatQuantity(1, 'nonsense')).toThrow(UnitError);
    expect(isUnitOf('bar', 'pressure')).toBe(true);
    expect(isUnitOf('bar', 'length')).toBe(false);
    expect(isUnitOf('nonsense', 'length')).toBe(false);
  });
});
