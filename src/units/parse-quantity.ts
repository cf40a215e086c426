import { shortened } from '../diagnostics/number-words.ts';
import { DIMENSIONLESS, sameDimension } from './dimension.ts';
import { evaluateExpression } from './expression.ts';
import { findUnit } from './find-unit.ts';
import { HELD_HELP, isHeld, NOT_HELD } from './held-number.ts';
import { type Problem, problem, quoted } from './problem.ts';
import { kindFacts, type QuantityKind, unitChoice } from './quantity-kind.ts';
import { differenceToSi, toSi } from './unit-scale.ts';
import { tableUnit, tableUnitNames, type Unit } from './unit-table.ts';

export interface ParsedQuantity {
  readonly ok: true;
  /** [SI]; temperatures in kelvin, angles in radians, percentages as ratios. */
  readonly value: number;
  /** Half-width [SI], or null when the text gives none. */
  readonly halfWidth: number | null;
  /** The unit as written; '' for a plain number or an expression. */
  readonly unit: string;
  /** Exponent of the second in a consistency: `n`, or the number written. Null for every other kind. */
  readonly timeExponent: number | 'n' | null;
}

export type QuantityResult = ParsedQuantity | Problem;

const NUMBER = String.raw`[+\-\u2212]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?`;
const SIDE = new RegExp(`^(${NUMBER})(.*)$`, 's');

/**
 * A quantity [SI] from its text: `210 kPa`, `126 ± 0.5 um`, `2.4 Pa.s ± 15 %`, `= 2 * 1.15 mm`.
 * What is wrong with the text comes back as a problem, never as a number; the value is always finite. Texts that need the
 * expression engine give `engine-needed` until `loadEngine` has been awaited. With `anySign` a tolerance may reach zero and below.
 */
export function parseQuantity(text: string, kind: QuantityKind, anySign = false): QuantityResult {
  const trimmed = text.trim();
  if (trimmed.startsWith('=')) return parseExpression(trimmed.slice(1), kind);
  const halves = trimmed.split(/\u00b1|\+\/-/);
  if (halves.length > 2) return problem('tolerance-invalid', `${quoted(text)} has more than one tolerance`);
  const left = splitSide(halves[0]!, text, kind);
  if ('ok' in left) return left;
  const right = halves[1] === undefined ? null : splitSide(halves[1], text, kind);
  if (right === null) return withTolerance(text, kind, left, null, anySign);
  if ('ok' in right) return problem('tolerance-invalid', right.message, right.help);
  return withTolerance(text, kind, left, right, anySign);
}

interface Side {
  readonly value: number;
  readonly unit: string;
}

/** Number first, then the rest, which is the unit. */
function splitSide(side: string, text: string, kind: QuantityKind): Side | Problem {
  const match = SIDE.exec(side.trim());
  const help = exampleHelp(kind);
  if (match === null) return problem('number-invalid', `${quoted(text)} does not start with a number`, help);
  const [, digits, rest] = match as unknown as [string, string, string];
  if (/^0[xXoObB][0-9a-fA-F]/.test(side.trim())) {
    return problem('number-invalid', `${quoted(text)}: decimal numbers only`, help);
  }
  if (/^\s*,\s*\d/.test(rest))
    return problem(
      'number-invalid',
      `${quoted(text)}: write a decimal point, no comma`,
      `write it like ${quoted(text.trim().replaceAll(/(\d)\s*,\s*(?=\d)/g, '$1.'))}`,
    );
  if (/^\s*[\d.,'_]/.test(rest) && !/^\s+1\//.test(rest))
    return problem('number-invalid', `${quoted(text)}: the number has digits apart`, help);
  const value = Number(digits.replace('\u2212', '-'));
  if (!Number.isFinite(value)) return problem('number-invalid', `${quoted(text)} ${NOT_HELD}`, HELD_HELP);
  return { value, unit: rest.trim() };
}

function withTolerance(
  text: string,
  kind: QuantityKind,
  left: Side,
  right: Side | null,
  anySign: boolean,
): QuantityResult {
  const shared = left.unit === '' && right !== null && (right.unit !== '%' || kind === 'percentage');
  const unitText = shared ? right.unit : left.unit;
  const unit = unitFor(text, unitText, kind);
  if ('ok' in unit) return unit;
  const value = toSi(left.value, unit.unit);
  if (!isHeld(value)) return problem('number-invalid', `${quoted(text)} ${NOT_HELD}`, HELD_HELP);
  const base = { ok: true as const, value, unit: unitText, timeExponent: unit.timeExponent };
  if (right === null) return { ...base, halfWidth: null };
  const halfWidth = halfWidthOf(text, kind, { value, right, unit, shared, anySign });
  return typeof halfWidth === 'number' ? { ...base, halfWidth } : halfWidth;
}

interface ToleranceContext {
  readonly value: number;
  readonly right: Side;
  readonly unit: FoundUnit;
  readonly shared: boolean;
  readonly anySign: boolean;
}

function halfWidthOf(text: string, kind: QuantityKind, context: ToleranceContext): number | Problem {
  const { right, unit, shared } = context;
  const checked = (halfWidth: number) => checkedWidth(text, context, halfWidth);
  if (right.value < 0)
    return problem('tolerance-invalid', `${quoted(text)}: a tolerance is a half-width, not below zero`);
  if (right.unit === '%' && kind !== 'percentage') {
    if (kind === 'temperature') {
      return problem(
        'tolerance-invalid',
        `${quoted(text)}: a temperature has no percentage`,
        'write ± 2 degC or ± 2 K',
      );
    }
    return checked((right.value / 100) * Math.abs(context.value));
  }
  if (shared) return checked(differenceToSi(right.value, unit.unit));
  const own = unitFor(text, right.unit, kind);
  if ('ok' in own) {
    const help = right.unit === '' ? `write the unit once, after the tolerance, or on both sides` : own.help;
    return own.code === 'engine-needed' ? own : problem(own.code, `${own.message} (after ±)`, help);
  }
  if (own.timeExponent !== unit.timeExponent) {
    return problem('tolerance-invalid', `${quoted(text)}: value and tolerance have different exponents`);
  }
  return checked(differenceToSi(right.value, own.unit));
}

/** Half-width [SI] of a tolerance that stands apart from its value [SI]: `0.5 um`, `15 %`, `2 degC`. */
export function parseTolerance(
  text: string,
  kind: QuantityKind,
  { value, anySign = false }: { readonly value: number; readonly anySign?: boolean },
): number | Problem {
  const side = splitSide(text, text, kind);
  if ('ok' in side) return side;
  const unit: FoundUnit = { unit: ONE, timeExponent: null };
  if (side.unit === '%' && kind !== 'percentage')
    return halfWidthOf(text, kind, { value, right: side, unit, shared: false, anySign });
  const own = unitFor(text, side.unit, kind);
  if ('ok' in own) return own;
  return halfWidthOf(text, kind, { value, right: side, unit: own, shared: true, anySign });
}

/** A half-width that may stand beside that value, or why not. */
function checkedWidth(
  text: string,
  { value, anySign }: Pick<ToleranceContext, 'value' | 'anySign'>,
  halfWidth: number,
): number | Problem {
  if (!Number.isFinite(halfWidth) || halfWidth < 0) {
    return problem('tolerance-invalid', `${quoted(text)}: a tolerance is a finite half-width, not below zero`);
  }
  if (!isHeld(halfWidth)) return problem('number-invalid', `${quoted(text)} ${NOT_HELD}`, HELD_HELP);
  if (!anySign && value > 0 && halfWidth >= value) {
    return problem(
      'tolerance-too-wide',
      `${quoted(text)}: the tolerance takes the value to zero or below`,
      'a tolerance is a half-width: make it smaller than the value',
    );
  }
  return halfWidth;
}

interface FoundUnit {
  readonly unit: Unit;
  readonly timeExponent: number | 'n' | null;
}

const ONE: Unit = { factor: 1, divisor: 1, offset: 0, dimension: DIMENSIONLESS };

/** The unit of that text if it measures the kind, or the problem. */
function unitFor(text: string, unitText: string, kind: QuantityKind): FoundUnit | Problem {
  const { dimension, name } = kindFacts(kind);
  if (unitText === '') {
    if (kind === 'factor') return { unit: ONE, timeExponent: null };
    return problem(
      'unit-missing',
      `${quoted(text)} has no unit; ${name} needs one: ${unitChoice(kind)}`,
      exampleHelp(kind, text),
    );
  }
  const power = kind === 'consistency' ? /^(.*?)[\s.\u00b7*]s(?:\^(n|[\d.]+))?$/.exec(unitText) : null;
  const unit = findUnit(power === null ? unitText : `${power[1]}.s`, kind);
  if ('ok' in unit) return unit;
  if (!sameDimension(unit.dimension, dimension)) return mismatch(text, kind, unitText);
  // A difference has no zero of its own: 10 degC would be 283.15 K.
  if (kind === 'temperature difference' && unit.offset !== 0) return mismatch(text, kind);
  if (kind !== 'consistency') return { unit, timeExponent: null };
  const exponent = power?.[2] ?? '1';
  return { unit, timeExponent: exponent === 'n' ? 'n' : Number(exponent) };
}

function mismatch(text: string, kind: QuantityKind, unitText = ''): Problem {
  const { name, units, dimension } = kindFacts(kind);
  const instead = units.length === 0 ? 'write it without a unit' : `write e.g. ${unitChoice(kind)}`;
  // "PA" is a petaampere; whoever wrote it where a pressure is due meant something else.
  const meant = tableUnitNames().find(
    n => n.toLowerCase() === unitText.toLowerCase() && sameDimension(tableUnit(n)!.dimension, dimension),
  );
  const help = meant === undefined ? exampleHelp(kind, text) : `did you mean "${meant}"?`;
  return problem('unit-mismatch', `${quoted(text)} is not ${name}; ${instead}`, help);
}

function parseExpression(text: string, kind: QuantityKind): QuantityResult {
  if (/\u00b1|\+\/-/.test(text)) {
    return problem(
      'expression-invalid',
      `${quoted(`=${text}`)}: an expression carries no tolerance`,
      'write {value: "= …", tolerance: …}',
    );
  }
  if (kind === 'consistency') {
    return problem('expression-invalid', 'a consistency is no expression: its unit goes with n', exampleHelp(kind));
  }
  const found = evaluateExpression(text.trim(), name => findUnit(name, kind));
  if (!found.ok) return found;
  const { dimension, name } = kindFacts(kind);
  if (!sameDimension(found.dimension, dimension)) {
    const bare = sameDimension(found.dimension, DIMENSIONLESS);
    return bare
      ? problem('unit-missing', `${quoted(`=${text}`)} has no unit; ${name} needs one: ${unitChoice(kind)}`)
      : mismatch(`=${text}`, kind);
  }
  if (!isHeld(found.value)) return problem('number-invalid', `${quoted(`=${text}`)} ${NOT_HELD}`, HELD_HELP);
  return { ok: true, value: found.value, halfWidth: null, unit: '', timeExponent: null };
}

const EXAMPLE_NUMBERS: Partial<Record<QuantityKind, string>> = {
  pressure: '210',
  temperature: '23',
  percentage: '3',
  factor: '1.1',
};

const WRITTEN = new RegExp(String.raw`^\s*${NUMBER}(?:\s*(?:\u00b1|\+/-)\s*${NUMBER}(?=\s*$))?`);
/** A longer number is not repeated. */
const MOST_REPEATED = 24;

/** "write it like 210 kPa", with the number that stands at the start of what somebody wrote. */
export function exampleHelp(kind: QuantityKind, written = ''): string {
  const unit = kindFacts(kind).units[0];
  const own = WRITTEN.exec(written)?.[0].trim() ?? '';
  const number = own === '' || own.length > MOST_REPEATED ? (EXAMPLE_NUMBERS[kind] ?? '1.5') : own;
  // Somebody who writes 0.03 where a percentage is due has most likely meant 3 %.
  if (kind === 'percentage' && Math.abs(Number(own)) < 1) {
    const [share, percent] = own === '' || Number(own) === 0 ? ['0.03', 3] : [own, shortened(Number(own) * 100, 12)];
    return `a share of ${share} is written ${percent} %`;
  }
  return unit === undefined ? `write it like ${number}` : `write it like ${number} ${unit}`;
}
