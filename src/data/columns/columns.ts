import { floorFinding } from '../../diagnostics/codes/floor-codes.ts';
import { recipeFinding } from '../../diagnostics/codes/recipe-codes.ts';
import { byPosition, type Diagnostic, type Finding, placed } from '../../diagnostics/finding.ts';
import { HELD_HELP, isHeld, NOT_HELD } from '../../units/held-number.ts';
import { quoted } from '../../units/problem.ts';
import { kindFacts, type QuantityKind } from '../../units/quantity-kind.ts';
import { toSi } from '../../units/unit-scale.ts';
import type { Unit } from '../../units/unit-table.ts';
import type { DataColumn, DataTable } from '../csv/csv.ts';
import { cellNumber } from './cell-number.ts';
import { columnUnit } from './column-unit.ts';
import type { TakenColumn } from './data-taken.ts';
import { findColumn, missingColumn } from './find-column.ts';

/** What a column of numbers is for. */
export interface ColumnSpec {
  readonly kind: QuantityKind;
  readonly required: boolean;
  readonly least: 'above zero' | 'zero or above' | 'any';
  /** Whole numbers only. */
  readonly whole?: boolean;
  /** What such columns are usually in; else the first unit of the kind. */
  readonly unit?: string;
}

export interface NumbersReading<K extends string> {
  /** Numbers in SI, one a row; null where the cell or the column is empty, missing or bad. */
  readonly values: Record<K, readonly (number | null)[]>;
  /** Which of the columns the file has, and with what unit. */
  readonly taken: readonly (TakenColumn & { readonly name: K })[];
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Numbers [SI] of the columns that a kind of data file has, by name; every bad header and cell is reported with its place, but for cells of
 * rows that are left out. A column's unit stands in its header, `name [unit]`, and may be any of the right dimension.
 */
export async function readColumns<K extends string>(
  table: DataTable,
  specs: Readonly<Record<K, ColumnSpec>>,
  leftOut: (row: number) => boolean = () => false,
): Promise<NumbersReading<K>> {
  const diagnostics: Diagnostic[] = [];
  const values = {} as Record<K, readonly (number | null)[]>;
  const taken: (TakenColumn & { name: K })[] = [];
  for (const [name, spec] of Object.entries(specs) as [K, ColumnSpec][]) {
    const column = findColumn(table, name);
    values[name] = new Array<null>(table.rows).fill(null);
    if (column === undefined || 'code' in column) {
      if (column !== undefined) diagnostics.push(column);
      else if (spec.required) diagnostics.push(missingColumn(table, name, spec.unit ?? kindFacts(spec.kind).units[0]));
      continue;
    }
    const unit = await columnUnit(table, column, spec.kind);
    taken.push({ name, column, unit: 'code' in unit ? column.unit : unit.name });
    if ('code' in unit) diagnostics.push(unit);
    else values[name] = numbersOf(table, column, { spec, unit: unit.unit, leftOut }, diagnostics);
  }
  return { values, taken, diagnostics: diagnostics.sort(byPosition) };
}

/** Numbers of any column as they stand, in its own unit; empty cells are null. */
export function plainNumbers(
  table: DataTable,
  column: DataColumn,
): { values: (number | null)[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const spec: ColumnSpec = { kind: 'factor', required: false, least: 'any' };
  const unit = { factor: 1, divisor: 1, offset: 0, dimension: kindFacts('factor').dimension };
  return { values: numbersOf(table, column, { spec, unit, leftOut: () => false }, diagnostics), diagnostics };
}

function numbersOf(
  table: DataTable,
  column: DataColumn,
  as: { readonly spec: ColumnSpec; readonly unit: Unit; readonly leftOut: (row: number) => boolean },
  diagnostics: Diagnostic[],
): (number | null)[] {
  return column.cells.map((text, row) => {
    if (as.leftOut(row)) return null;
    const read = numberOf(text, column.name, { ...as, decimalComma: table.decimalComma });
    if (read === null || typeof read === 'number') return read;
    diagnostics.push(placed(read, table.place(row, column.index)));
    return null;
  });
}

/** The number of a cell in SI, null for an empty one that may be empty, or what is wrong with it. */
function numberOf(
  text: string,
  name: string,
  as: { readonly spec: ColumnSpec; readonly unit: Unit; readonly decimalComma: boolean },
): number | null | Finding {
  if (text === '') {
    if (!as.spec.required) return null;
    return floorFinding('data-cell-missing', name, `the cell of "${name}" is empty`, 'fill it in, or remove the row');
  }
  const number = cellNumber(text, as.decimalComma);
  if (typeof number !== 'number' || !Number.isFinite(number)) {
    const { help } = typeof number === 'number' ? { help: HELD_HELP } : number;
    return recipeFinding('number-invalid', name, `${quoted(text)} is not a number`, help);
  }
  const si = toSi(number, as.unit);
  if (!isHeld(si)) return recipeFinding('number-invalid', name, `${quoted(text)} ${NOT_HELD}`, HELD_HELP);
  const { least, whole, kind } = as.spec;
  const low = kind === 'temperature' ? si <= 0 : least === 'above zero' ? si <= 0 : least === 'zero or above' && si < 0;
  if (low) {
    const bound = kind === 'temperature' ? 'above absolute zero' : least;
    const message = `${quoted(text)} in "${name}" must be ${bound}`;
    return floorFinding('data-out-of-range', name, message, 'correct the cell, or remove the row');
  }
  if (whole && !Number.isInteger(si)) {
    const message = `${quoted(text)} in "${name}" must be a whole number`;
    return floorFinding('data-out-of-range', name, message, 'correct the cell');
  }
  return si;
}
