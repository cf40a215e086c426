import { choice, didYouMean } from '../../diagnostics/suggestion.ts';
import { HELD_HELP, isHeld, NOT_HELD } from '../../units/held-number.ts';
import { exampleHelp, parseQuantity, parseTolerance } from '../../units/parse-quantity.ts';
import { kindFacts, type QuantityKind, unitChoice } from '../../units/quantity-kind.ts';
import { foundText, isPlainMap, type PlainMap, withoutNulls } from '../yaml/plain-data.ts';
import type { Distribution, Per } from './quantity.ts';

export const DISTRIBUTIONS: readonly Distribution[] = ['normal', 'uniform', 'triangular'];
export const PERS: readonly Per[] = ['shot', 'syringe', 'needle', 'lot', 'connector'];

/** A quantity as read, before its place in the recipe gives it a path and the defaults of its tolerance. */
export interface Leaf {
  readonly value: number;
  readonly halfWidth: number | null;
  readonly distribution: Distribution | null;
  readonly coverage: number | null;
  readonly per: Per | null;
  readonly kind: QuantityKind;
  readonly timeExponent: number | 'n' | null;
}

/** What a field allows beside its kind; all limits in SI, `says` in words. */
export interface Limits {
  readonly above?: number;
  readonly from?: number;
  readonly below?: number;
  readonly to?: number;
  /** A tolerance may reach zero and below. */
  readonly anySign?: boolean;
  readonly says: string;
}

/** Where a reader puts what is wrong; `path` is relative to what it reads. */
export type Complain = (
  path: readonly (string | number)[],
  code: string,
  message: string,
  help: string | null,
  at?: 'key' | 'value',
) => void;

export interface LeafRule {
  readonly kind: QuantityKind;
  readonly limits?: Limits | undefined;
  /** The value itself is a half-width, which may say how it is meant, and has no tolerance of its own. */
  readonly deviation?: boolean | undefined;
}

/** The same few texts fill thousands of recipes; the bound is against a hostile stream of texts. */
const KEPT_TEXTS = 5_000;

/** Reads what somebody wrote: the leaf, or null after a complaint. */
export function leafReader(rule: LeafRule): (input: unknown, complain: Complain) => Leaf | null {
  const kept = new Map<string, Leaf>();
  return (input, complain) => {
    if (typeof input !== 'string') return readLeaf(input, rule, complain);
    const known = kept.get(input);
    if (known !== undefined) return known;
    const read = readLeaf(input, rule, complain);
    if (read !== null && kept.size >= KEPT_TEXTS) kept.clear();
    if (read !== null) kept.set(input, read);
    return read;
  };
}

function readLeaf(input: unknown, rule: LeafRule, complain: Complain): Leaf | null {
  if (isPlainMap(input)) return readMapping(input, rule, complain);
  const plain = readPlain(input, rule, [], complain);
  return plain === null ? null : withinLimits(plain, rule, input, [], complain);
}

type Plain = Pick<Leaf, 'value' | 'halfWidth' | 'timeExponent'>;

function readPlain(input: unknown, rule: LeafRule, path: string[], complain: Complain): Plain | null {
  const { kind } = rule;
  if (typeof input === 'number') {
    if (kind !== 'factor') {
      const { name } = kindFacts(kind);
      complain(
        path,
        'unit-missing',
        `${input} has no unit; ${name} needs one: ${unitChoice(kind)}`,
        exampleHelp(kind, String(input)),
      );
      return null;
    }
    if (isHeld(input)) return { value: input, halfWidth: null, timeExponent: null };
    complain(path, 'number-invalid', `${Number.isFinite(input) ? input : 'the number'} ${NOT_HELD}`, HELD_HELP);
    return null;
  }
  if (typeof input !== 'string') {
    const { name } = kindFacts(kind);
    complain(path, 'value-type', `found ${foundText(input)}, expected ${name}`, exampleHelp(kind));
    return null;
  }
  const parsed = parseQuantity(input, kind, rule.limits?.anySign);
  if (parsed.ok) return parsed;
  complain(path, parsed.code, parsed.message, parsed.help);
  return null;
}

const KEYS = ['value', 'tolerance', 'distribution', 'coverage', 'per', 'notes', 'name'];
const KNOWN = Object.fromEntries(KEYS.map(key => [key, true]));

function readMapping(written: PlainMap, rule: LeafRule, complain: Complain): Leaf | null {
  const input = withoutNulls(written, KNOWN);
  for (const key of Object.keys(input)) {
    if (KEYS.includes(key)) continue;
    const help = didYouMean(key, KEYS) ?? `keys that will do: ${KEYS.slice(0, 5).join(', ')}`;
    complain([key], 'key-unknown', `"${key}" is not a key of a quantity`, help, 'key');
  }
  if (input['value'] === undefined) {
    const { name } = kindFacts(rule.kind);
    complain([], 'key-missing', `the mapping has no "value"; expected ${name}`, exampleHelp(rule.kind));
    return null;
  }
  const plain = readPlain(input['value'], rule, ['value'], complain);
  const distribution = readWord(input, 'distribution', DISTRIBUTIONS, complain);
  const per = readWord(input, 'per', PERS, complain);
  const coverage = readCoverage(input, distribution, complain);
  if (plain === null) return null;
  const halfWidth = readTolerance(input, plain, rule, complain);
  if (halfWidth === null && rule.deviation !== true) {
    for (const key of ['distribution', 'coverage', 'per']) {
      if (input[key] === undefined) continue;
      complain(
        [key],
        'tolerance-invalid',
        `"${key}" stands here without a tolerance`,
        'add tolerance: …, or remove it',
      );
    }
  }
  const inner = input['value'];
  return withinLimits({ ...plain, halfWidth, distribution, coverage, per }, rule, inner, ['value'], complain);
}

function readTolerance(input: PlainMap, plain: Plain, rule: LeafRule, complain: Complain): number | null {
  const tolerance = input['tolerance'];
  if (tolerance === undefined) return plain.halfWidth;
  const refuse = (code: string, message: string, help: string | null) => {
    complain(['tolerance'], code, message, help);
    return null;
  };
  if (rule.deviation === true || plain.halfWidth !== null) {
    return refuse('tolerance-invalid', 'the tolerance is given twice', 'give it once');
  }
  if (typeof tolerance !== 'string' && typeof tolerance !== 'number') {
    return refuse('value-type', `found ${foundText(tolerance)}, expected a tolerance`, 'write it like 0.5 um or 15 %');
  }
  if (typeof tolerance === 'number' && rule.kind !== 'factor') {
    return refuse('unit-missing', `the tolerance ${tolerance} has no unit; write %, or ${unitChoice(rule.kind)}`, null);
  }
  const halfWidth = parseTolerance(String(tolerance), rule.kind, {
    value: plain.value,
    anySign: rule.limits?.anySign === true,
  });
  return typeof halfWidth === 'number' ? halfWidth : refuse(halfWidth.code, halfWidth.message, halfWidth.help);
}

function readWord<T extends string>(input: PlainMap, key: string, words: readonly T[], complain: Complain): T | null {
  const word = input[key];
  if (word === undefined) return null;
  if (typeof word === 'string' && (words as readonly string[]).includes(word)) return word as T;
  const help = (typeof word === 'string' ? didYouMean(word, words) : null) ?? `write ${choice(words)}`;
  complain([key], 'value-unknown', `found ${foundText(word)}, expected ${choice(words)}`, help);
  return null;
}

function readCoverage(input: PlainMap, distribution: Distribution | null, complain: Complain): number | null {
  const coverage = input['coverage'];
  if (coverage === undefined) return null;
  if (typeof coverage !== 'number' || !(coverage > 0) || !Number.isFinite(coverage)) {
    complain(['coverage'], 'value-range', `found ${foundText(coverage)}, expected a number above zero`, 'coverage: 2');
    return null;
  }
  if (distribution !== null && distribution !== 'normal') {
    complain(
      ['coverage'],
      'tolerance-invalid',
      `coverage goes with distribution: normal, not ${distribution}`,
      'remove it',
    );
  }
  return coverage;
}

function withinLimits(
  plain: Plain & Partial<Leaf>,
  rule: LeafRule,
  input: unknown,
  path: string[],
  complain: Complain,
): Leaf | null {
  const { kind, limits, deviation } = rule;
  const { value, halfWidth, timeExponent } = plain;
  if (deviation === true && halfWidth !== null) {
    complain(path, 'tolerance-invalid', `${foundText(input)}: this is a half-width itself`, 'write one quantity');
    return null;
  }
  const absoluteZero = kind === 'temperature' && value <= 0;
  if (absoluteZero || (limits !== undefined && outside(value, limits))) {
    const says = absoluteZero ? 'above absolute zero' : (limits?.says ?? '');
    complain(path, 'value-range', `${foundText(input)} is out of range: must be ${says}`, null);
    return null;
  }
  const { distribution = null, coverage = null, per = null } = plain;
  return { value, halfWidth, timeExponent, distribution, coverage, per, kind };
}

function outside(value: number, { above, from, below, to }: Limits): boolean {
  return (
    (above !== undefined && value <= above) ||
    (from !== undefined && value < from) ||
    (below !== undefined && value >= below) ||
    (to !== undefined && value > to)
  );
}
