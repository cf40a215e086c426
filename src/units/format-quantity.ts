import { shortened } from '../diagnostics/number-words.ts';
import { sameDimension } from './dimension.ts';
import { findUnit } from './find-unit.ts';
import { kindFacts, QUANTITY_KINDS, type QuantityKind } from './quantity-kind.ts';
import { fromSi } from './unit-scale.ts';
import { tableUnit, type Unit } from './unit-table.ts';

/** A unit name that is not one, in a call of ours. */
export class UnitError extends RangeError {}

/**
 * SI value per unit: multiply a number in that unit by it [SI]. For temperatures it is the factor of a difference.
 * Throws: UnitError when the name is no unit of the kind.
 */
export function unitFactor(name: string, kind: QuantityKind): number {
  const unit = unitOfKind(name, kind);
  return unit.factor / unit.divisor;
}

/** The unit of that name. Throws: UnitError when it is no unit of the kind. */
function unitOfKind(name: string, kind: QuantityKind): Unit {
  const unit = findUnit(name, kind);
  if ('ok' in unit || !sameDimension(unit.dimension, kindFacts(kind).dimension)) {
    throw new UnitError(`"${name}" is no unit of ${kindFacts(kind).name}`);
  }
  return unit;
}

/** True when the name is a unit that measures the kind. */
export function isUnitOf(name: string, kind: QuantityKind): boolean {
  const unit = findUnit(name, kind);
  return !('ok' in unit) && sameDimension(unit.dimension, kindFacts(kind).dimension);
}

/** Number in the unit of an SI value (absolute). Throws: UnitError for a name outside the table. */
export function inUnit(si: number, unitName: string): number {
  return fromSi(si, tableUnitOrThrow(unitName));
}

/**
 * An SI value for people: `210 kPa`, in the unit given, at most `digits` significant digits (6 without), no exponent
 * between 1e-6 and 1e21.
 * Throws: UnitError for a name outside the table.
 */
export function formatQuantity(si: number, unitName: string, digits = 6): string {
  return `${shortened(inUnit(si, unitName), digits)} ${unitName}`;
}

function tableUnitOrThrow(name: string): Unit {
  const unit = tableUnit(name);
  if (unit !== null) return unit;
  for (const kind of QUANTITY_KINDS) {
    const found = findUnit(name, kind);
    if (!('ok' in found)) return found;
  }
  throw new UnitError(`"${name}" is no known unit`);
}
