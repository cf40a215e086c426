import type { Unit } from './unit-table.ts';

/** SI value of a number in that unit, absolute (23 degC is 296.15 K). */
export function toSi(value: number, unit: Unit): number {
  return ((value + unit.offset) * unit.factor) / unit.divisor;
}

/** Number in that unit of an SI value, absolute. */
export function fromSi(si: number, unit: Unit): number {
  return (si * unit.divisor) / unit.factor - unit.offset;
}

/** SI value of a difference in that unit (2 degC is 2 K). */
export function differenceToSi(value: number, unit: Unit): number {
  return (value * unit.factor) / unit.divisor;
}
