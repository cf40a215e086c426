import { floorFinding } from '../diagnostics/codes/floor-codes.ts';
import { recipeFinding } from '../diagnostics/codes/recipe-codes.ts';
import { byPosition, type Diagnostic, finding, placed } from '../diagnostics/finding.ts';
import { choice, didYouMean } from '../diagnostics/suggestion.ts';
import { sameDimension } from '../units/dimension.ts';
import { loadEngine } from '../units/engine.ts';
import { findUnit } from '../units/find-unit.ts';
import { HELD_HELP, isHeld, NOT_HELD } from '../units/held-number.ts';
import { quoted } from '../units/problem.ts';
import { kindFacts, type QuantityKind, unitChoice } from '../units/quantity-kind.ts';
import { toSi } from '../units/unit-scale.ts';
import type { Unit } from '../units/unit-table.ts';
import type { DataColumn, DataTable } from './csv.ts';

/** What a column of numbers is for. */
export interface ColumnSpec {
  readonly kind: QuantityKind;
  readonly required: boolean;
  readonly least: 'above zero' | 'zero or above' | 'any';
  /** Whole numbers only. */
  readonly whole?: boolean;
}

export interface NumbersReading<K extends string> {
  /** Numbers in SI, one a row; null where the cell or the column is empty, missing or bad. */
  readonly values: Record<K, readonly (number | null)[]>;
  /** Which of the columns the file has. */
  readonly present: ReadonlySet<K>;
  readonly diagnostics: readonly Diagnostic[];
}

/**
 * Numbers [SI] of the columns that a kind of data file has, by name; every bad header and cell is reported with its place.
 * A column's unit stands in its header, `name [unit]`, and may be any of the right dimension.
 */
export async function readColumns<K extends string>(
  table: DataTable,
  specs: Readonly<Record<K, ColumnSpec>>,
): Promise<NumbersReading<K>> {
  const diagnostics: Diagnostic[] = [];
  const values = {} as Record<K, readonly (number | null)[]>;
  const present = new Set<K>();
  for (const [name, spec] of Object.entries(specs) as [K, ColumnSpec][]) {
    const column = table.columns.find(c => c.name === name);
    values[name] = new Array<null>(table.rows).fill(null);
    if (column === undefined) {
      if (spec.required) diagnostics.push(missingColumn(table, name, spec));
      continue;
    }
    present.add(name);
    const unit = await columnUnit(table, column, spec.kind);
    if ('code' in unit) diagnostics.push(unit);
    else values[name] = numbersOf(table, column, { spec, unit }, diagnostics);
  }
  return { values, present, diagnostics: diagnostics.sort(byPosition) };
}

/** Numbers of any column as they stand, in its own unit; empty cells are null. */
export function plainNumbers(
  table: DataTable,
  column: DataColumn,
): { values: (number | null)[]; diagnostics: Diagnostic[] } {
  const diagnostics: Diagnostic[] = [];
  const spec: ColumnSpec = { kind: 'factor', required: false, least: 'any' };
  const unit = { factor: 1, divisor: 1, offset: 0, dimension: kindFacts('factor').dimension };
  return { values: numbersOf(table, column, { spec, unit }, diagnostics), diagnostics };
}

/** The column of a name, or a diagnostic at the header that says which there are. */
export function columnNamed(table: DataTable, name: string): DataColumn | Diagnostic {
  const column = table.columns.find(c => c.name === name) ?? table.columns.find(c => `${c.name} [${c.unit}]` === name);
  if (column !== undefined) return column;
  return placed(missing(table, `there is no column "${name}"`, name), table.place(-1, 0));
}

function missingColumn(table: DataTable, name: string, spec: ColumnSpec): Diagnostic {
  const units = kindFacts(spec.kind).units;
  const as = units.length === 0 ? name : `${name} [${units[0]}]`;
  return placed(missing(table, `the column "${as}" is missing`, name), table.place(-1, 0));
}

function missing(table: DataTable, message: string, name: string): ReturnType<typeof finding> {
  const names = table.columns.map(c => c.name);
  const near = didYouMean(name, names);
  return floorFinding('data-column-missing', name, message, near ?? `the header has ${listed(names)}`);
}

/** No message names more columns. */
const MOST_NAMED = 20;

function listed(names: readonly string[]): string {
  if (names.length > MOST_NAMED)
    return `${names.slice(0, MOST_NAMED).join(', ')} and ${names.length - MOST_NAMED} more`;
  return choice(names).replace(/ or (?=[^ ]*$)/, ' and ');
}

async function columnUnit(table: DataTable, column: DataColumn, kind: QuantityKind): Promise<Unit | Diagnostic> {
  const facts = kindFacts(kind);
  const at = table.place(-1, column.index);
  if (column.unit === null || column.unit === '') {
    if (facts.units.length === 0) return { factor: 1, divisor: 1, offset: 0, dimension: facts.dimension };
    const help = `write \`${column.name} [${facts.units[0]}]\`; ${unitChoice(kind)} would do`;
    return placed(recipeFinding('unit-missing', column.name, `the column "${column.name}" has no unit`, help), at);
  }
  let unit = findUnit(column.unit, kind);
  if ('ok' in unit && unit.code === 'engine-needed') {
    await loadEngine();
    unit = findUnit(column.unit, kind);
  }
  if ('ok' in unit) return placed(finding('error', unit.code, column.name, unit.message, unit.help), at);
  if (sameDimension(unit.dimension, facts.dimension)) return unit;
  const message = `the column "${column.name}" is in ${quoted(column.unit)}, which is not the unit of ${facts.name}`;
  const help = facts.units.length === 0 ? 'leave the unit away' : `units for ${facts.name}: ${facts.units.join(', ')}`;
  return placed(recipeFinding('unit-mismatch', column.name, message, help), at);
}

const NUMBER = /^[+\-\u2212]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/;

function numbersOf(
  table: DataTable,
  column: DataColumn,
  as: { spec: ColumnSpec; unit: Unit },
  diagnostics: Diagnostic[],
): (number | null)[] {
  const complain = (row: number, code: string, message: string, help: string): null => {
    diagnostics.push(placed(finding('error', code, column.name, message, help), table.place(row, column.index)));
    return null;
  };
  return column.cells.map((text, row) => {
    if (text === '') {
      if (!as.spec.required) return null;
      return complain(
        row,
        'data-cell-missing',
        `the cell of "${column.name}" is empty`,
        'fill it in, or remove the row',
      );
    }
    const number = NUMBER.test(text) ? Number(text.replace('\u2212', '-')) : Number.NaN;
    if (!Number.isFinite(number)) {
      const help = /^[^.]*,\d+$/.test(text)
        ? 'write a decimal point, no comma'
        : 'write a plain decimal number; the unit stands in the header';
      return complain(row, 'number-invalid', `${quoted(text)} is not a number`, help);
    }
    const si = toSi(number, as.unit);
    if (!isHeld(si)) return complain(row, 'number-invalid', `${quoted(text)} ${NOT_HELD}`, HELD_HELP);
    const { least, whole, kind } = as.spec;
    const low =
      kind === 'temperature' ? si <= 0 : least === 'above zero' ? si <= 0 : least === 'zero or above' && si < 0;
    if (low) {
      const bound = kind === 'temperature' ? 'above absolute zero' : least;
      return complain(
        row,
        'data-out-of-range',
        `${quoted(text)} in "${column.name}" must be ${bound}`,
        'correct the cell, or remove the row',
      );
    }
    if (whole && !Number.isInteger(si)) {
      return complain(
        row,
        'data-out-of-range',
        `${quoted(text)} in "${column.name}" must be a whole number`,
        'correct the cell',
      );
    }
    return si;
  });
}
