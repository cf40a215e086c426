import { recipeFinding } from '../../diagnostics/codes/recipe-codes.ts';
import { type Diagnostic, finding, placed } from '../../diagnostics/finding.ts';
import { sameDimension } from '../../units/dimension.ts';
import { loadEngine } from '../../units/engine.ts';
import { findUnit } from '../../units/find-unit.ts';
import { type Problem, quoted } from '../../units/problem.ts';
import { kindFacts, type QuantityKind, unitChoice } from '../../units/quantity-kind.ts';
import type { Unit } from '../../units/unit-table.ts';
import type { DataColumn, DataTable } from '../csv/csv.ts';
import { headerText } from '../csv/heads.ts';

/** A unit with its name as it was taken from the head; null where the numbers have none. */
export interface ColumnUnit {
  readonly unit: Unit;
  readonly name: string | null;
}

/**
 * The unit of a column: in brackets in its head, also all in capitals where only one unit can be meant; for a column that the call names also
 * the last word of its head ("Masse mg").
 */
export async function columnUnit(
  table: DataTable,
  column: DataColumn,
  kind: QuantityKind,
): Promise<ColumnUnit | Diagnostic> {
  const facts = kindFacts(kind);
  const at = table.place(-1, column.index);
  const text = column.unit === null || column.unit === '' ? null : column.unit;
  if (text === null) {
    const last = column.given ? await lastWord(column.head, kind) : null;
    if (last !== null) return last;
    if (facts.units.length === 0)
      return { unit: { factor: 1, divisor: 1, offset: 0, dimension: facts.dimension }, name: null };
    const head = headerText(column.name, facts.units[0]!);
    const help = column.given
      ? `write --column "${head}=${column.head}"; ${unitChoice(kind)} would do`
      : `write \`${head}\`; ${unitChoice(kind)} would do`;
    return placed(recipeFinding('unit-missing', column.name, `the column "${column.name}" has no unit`, help), at);
  }
  const name = oneCase(text, kind) ?? text;
  const unit = await unitOf(name, kind);
  if (!('ok' in unit) && sameDimension(unit.dimension, facts.dimension)) return { unit, name };
  if ('ok' in unit) return placed(finding('error', unit.code, column.name, unit.message, unit.help), at);
  const message = `the column "${column.name}" is in ${quoted(text)}, which is not the unit of ${facts.name}`;
  const help = facts.units.length === 0 ? 'leave the unit away' : `units for ${facts.name}: ${facts.units.join(', ')}`;
  return placed(recipeFinding('unit-mismatch', column.name, message, help), at);
}

/** The unit of the kind that a text all in capitals, or all in small letters, stands for: KPA, degc; null where the text stands as it is. */
function oneCase(text: string, kind: QuantityKind): string | null {
  if (text !== text.toUpperCase() && text !== text.toLowerCase()) return null;
  const known = findUnit(text, kind);
  const { units, dimension } = kindFacts(kind);
  if (!('ok' in known) && sameDimension(known.dimension, dimension)) return null;
  const meant = units.filter(name => name.toLowerCase() === text.toLowerCase());
  return meant.length === 1 ? meant[0]! : null;
}

/** The last word of a head, where it is a unit of the kind. */
async function lastWord(head: string, kind: QuantityKind): Promise<ColumnUnit | null> {
  const word = /[\s_,;:/]([^\s_,;:]+)$/.exec(head.trim())?.[1];
  if (word === undefined) return null;
  const unit = await unitOf(word, kind);
  return 'ok' in unit || !sameDimension(unit.dimension, kindFacts(kind).dimension) ? null : { unit, name: word };
}

async function unitOf(text: string, kind: QuantityKind): Promise<Unit | Problem> {
  const unit = findUnit(text, kind);
  if (!('ok' in unit) || unit.code !== 'engine-needed') return unit;
  await loadEngine();
  return findUnit(text, kind);
}
