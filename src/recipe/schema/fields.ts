import * as z from 'zod/mini';
import { choice } from '../../diagnostics/suggestion.ts';
import { kindFacts, type QuantityKind } from '../../units/quantity-kind.ts';
import { foundText, isPlainMap } from '../yaml/plain-data.ts';
import type { BuildContext } from './build-context.ts';
import { type Field, plain, reading, type Schema, withMeta } from './field.ts';
import { type Complain, type Leaf, type LeafRule, type Limits, leafReader } from './leaf.ts';
import { type JsonSchema, leafSchema, pairSchema } from './leaf-schema.ts';
import type { Deviation, Quantity } from './quantity.ts';

/** Limits that many fields share. */
export const POSITIVE: Limits = { above: 0, says: 'above zero' };
export const NOT_NEGATIVE: Limits = { from: 0, says: 'zero or above' };
/** For what may be zero or below, by itself and within its tolerance. */
export const ANY_SIGN: Limits = { anySign: true, says: 'any sign, with its tolerance' };
const SHARE: Limits = { from: 0, below: 1, says: 'from 0 % to below 100 %' };
export const CONTACT_ANGLE: Limits = { above: 0, below: Math.PI, says: 'between 0 and 180 deg' };

/** A quantity of that kind. */
export function quantity(kind: QuantityKind, is: string, limits?: Limits): Field<Leaf, Quantity> {
  return {
    schema: leaf(is, { kind, limits }),
    make: (read, path, context) => context.quantity(read, path),
    about: { is, kinds: [kind], range: limits?.says },
  };
}

/** A half-width, or its share of what is set, with how it is meant. */
export function deviation(kind: QuantityKind, is: string): Field<Leaf, Deviation> {
  const rule: LeafRule = { kind, limits: NOT_NEGATIVE, deviation: true };
  const read = leafReader(rule);
  const readShare = leafReader({ kind: 'percentage', limits: SHARE, deviation: true });
  return {
    schema: reading<Leaf>(sentence(`${is}, or %`, rule), leafSchema(rule), (input, complain) =>
      (/%\s*$/.test(String(isPlainMap(input) ? input['value'] : input)) ? readShare : read)(input, complain),
    ),
    make: (leaf, path, context) => context.deviation(leaf, path),
    about: { is, kinds: [kind, 'percentage'], range: NOT_NEGATIVE.says },
  };
}

function leaf(is: string, rule: LeafRule): Schema<Leaf> {
  return reading(sentence(is, rule), leafSchema(rule), leafReader(rule));
}

function sentence(is: string, { kind, limits }: LeafRule): string {
  const { name, units } = kindFacts(kind);
  const how = units.length === 0 ? name : `${name}: ${choice(units)}`;
  return `${is} (${how}${limits === undefined ? '' : `; ${limits.says}`}).`;
}

/** A cylinder's one diameter, or the two ends of a cone. */
export interface Ends {
  readonly front: Leaf;
  readonly rear: Leaf;
  readonly cone: boolean;
}

/** A length, or `[front, rear]`; the ends of a cylinder are one dimension. */
export function ends(is: string): Field<Ends, { readonly front: Quantity; readonly rear: Quantity }> {
  const rule: LeafRule = { kind: 'length', limits: POSITIVE };
  const readOne = leafReader(rule);
  const readPair = pairReader(rule, rule);
  const json: JsonSchema = { anyOf: [leafSchema(rule), pairSchema(rule, rule)] };
  const schema = reading<Ends>(`${is} (a length, or [front, rear] of a cone).`, json, (input, complain) => {
    if (Array.isArray(input)) {
      const pair = readPair(input, complain);
      return pair === null ? null : { front: pair[0], rear: pair[1], cone: true };
    }
    const one = readOne(input, complain);
    return one === null ? null : { front: one, rear: one, cone: false };
  });
  return {
    schema,
    make: ({ front, rear, cone }, path, context) => {
      const first = context.quantity(front, cone ? `${path}[0]` : path);
      return { front: first, rear: cone ? context.quantity(rear, `${path}[1]`) : first };
    },
    about: { is: `${is}, or [front, rear] of a cone`, kinds: ['length'], range: POSITIVE.says },
  };
}

type Pair<T> = readonly [T, T];

/** `[from, to]`. */
export function range(kind: QuantityKind, is: string, limits?: Limits): Field<Pair<Leaf>, Pair<Quantity>> {
  const rule: LeafRule = { kind, limits };
  return {
    schema: reading(sentence(is, rule), pairSchema(rule, rule), pairReader(rule, rule)),
    make: (pair, path, context) => madePair(pair, path, context),
    about: { is, kinds: [kind], range: limits?.says },
  };
}

function madePair([a, b]: Pair<Leaf>, path: string, context: BuildContext): Pair<Quantity> {
  return [context.quantity(a, `${path}[0]`), context.quantity(b, `${path}[1]`)];
}

function pairReader(first: LeafRule, second: LeafRule): (input: unknown, complain: Complain) => Pair<Leaf> | null {
  const names = [kindFacts(first.kind).name, kindFacts(second.kind).name];
  const readers = [leafReader(first), leafReader(second)] as const;
  return (input, complain) => {
    if (!Array.isArray(input) || input.length !== 2) {
      const found = Array.isArray(input) ? `a list of ${input.length}` : foundText(input);
      complain([], 'value-type', `found ${found}, expected a pair [${names.join(', ')}]`, null);
      return null;
    }
    const [a, b] = readers.map((read, i) => read(input[i], (path, ...rest) => complain([i, ...path], ...rest)));
    return a && b ? [a, b] : null;
  };
}

/** A table of pairs whose first column increases. */
export function points(
  is: string,
  first: LeafRule,
  second: LeafRule,
  least = 2,
): Field<readonly Pair<Leaf>[], readonly Pair<Quantity>[]> {
  const readRow = pairReader(first, second);
  const json: JsonSchema = { type: 'array', minItems: least, items: pairSchema(first, second) };
  const schema = reading<readonly Pair<Leaf>[]>(`${is}.`, json, (input, complain) => {
    if (!Array.isArray(input) || input.length < least) {
      const found = Array.isArray(input) ? `a list of ${input.length}` : foundText(input);
      complain([], 'value-type', `found ${found}, expected a list of at least ${least} pairs`, null);
      return null;
    }
    const rows = input.map((row, i) => readRow(row, (path, ...rest) => complain([i, ...path], ...rest)));
    for (let i = 1; i < rows.length; i++) {
      const [before, here] = [rows[i - 1], rows[i]];
      if (before && here && here[0].value <= before[0].value) {
        complain([i, 0], 'order-wrong', 'the first column must increase from point to point', 'sort the points');
      }
    }
    return rows.some(row => row === null) ? null : (rows as [Leaf, Leaf][]);
  });
  return {
    schema,
    make: (rows, path, context) => rows.map((row, i) => madePair(row, `${path}[${i}]`, context)),
    about: { is, kinds: [first.kind, second.kind] },
  };
}

/** A temperature from a time of the day on; times in seconds since midnight. */
type AtClock<T> = readonly (readonly [number, T])[];
const CLOCK = /^([01]?\d|2[0-3]):([0-5]\d)$/;

/** Temperatures by the clock, rising through the day: [[06:00, 18 degC], …]. */
export function temperaturesByClock(is: string): Field<AtClock<Leaf>, AtClock<Quantity>> {
  const rule: LeafRule = { kind: 'temperature' };
  const readTemperature = leafReader(rule);
  const items = [{ type: 'string', pattern: CLOCK.source }, leafSchema(rule)];
  const json: JsonSchema = { type: 'array', minItems: 1, items: { type: 'array', items, minItems: 2, maxItems: 2 } };
  const readRow = (row: unknown, i: number, complain: Complain): readonly [number, Leaf] | null => {
    if (!Array.isArray(row) || row.length !== 2) {
      const found = Array.isArray(row) ? `a list of ${row.length}` : foundText(row);
      complain([i], 'value-type', `found ${found}, expected a pair [time of the day, temperature]`, null);
      return null;
    }
    const [, hours, minutes] = (typeof row[0] === 'string' && CLOCK.exec(row[0].trim())) || [];
    if (hours === undefined) {
      const message = `found ${foundText(row[0])}, expected a time of the day`;
      complain([i, 0], 'value-type', message, 'write it like 06:30, from 00:00 to 23:59');
    }
    const leaf = readTemperature(row[1], (path, ...rest) => complain([i, 1, ...path], ...rest));
    return hours === undefined || leaf === null ? null : [Number(hours) * 3600 + Number(minutes) * 60, leaf];
  };
  const schema = reading<AtClock<Leaf>>(`${is}.`, json, (input, complain) => {
    if (!Array.isArray(input) || input.length === 0) {
      const found = Array.isArray(input) ? 'an empty list' : foundText(input);
      complain([], 'value-type', `found ${found}, expected a list of [time of the day, temperature]`, null);
      return null;
    }
    const rows = input.map((row, i) => readRow(row, i, complain));
    rows.forEach((row, i) => {
      const before = rows[i - 1];
      if (row && before && row[0] <= before[0]) {
        complain([i, 0], 'order-wrong', 'the times must rise through the day', 'sort the points from 00:00 on');
      }
    });
    return rows.some(row => row === null) ? null : (rows as [number, Leaf][]);
  });
  return {
    schema,
    make: (rows, path, context) => rows.map(([time, leaf], i) => [time, context.quantity(leaf, `${path}[${i}][1]`)]),
    about: { is, kinds: ['temperature'] },
  };
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is refused
const CONTROL = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f]/;

/** One line or more of free text, without characters that a terminal would obey. */
export function text(is: string): Field<string, string> {
  const schema = reading<string>(`${is}.`, { type: 'string', minLength: 1 }, (input, complain) => {
    if (typeof input === 'string' && CONTROL.test(input)) {
      complain([], 'value-type', 'the text has a control character in it', 'remove it');
      return null;
    }
    if (typeof input === 'string' && input.trim() !== '') return input;
    const help = typeof input === 'number' || typeof input === 'boolean' ? `write it in quotes: "${input}"` : null;
    complain([], 'value-type', `found ${foundText(input)}, expected a text`, help);
    return null;
  });
  return plain(schema, { is });
}

/** A whole number from `least` on, or to `most`. */
export function count(is: string, least = 1, most?: number): Field<number, number> {
  const range = most === undefined ? `from ${least} on` : `from ${least} to ${most}`;
  const json: JsonSchema = { type: 'integer', minimum: least, ...(most !== undefined && { maximum: most }) };
  const schema = reading<number>(`${is}.`, json, (input, complain) => {
    const whole = typeof input === 'number' && Number.isSafeInteger(input) && input >= least;
    if (whole && (most === undefined || input <= most)) return input;
    const code = typeof input === 'number' ? 'value-range' : 'value-type';
    complain([], code, `found ${foundText(input)}, expected a whole number ${range}`, null);
    return null;
  });
  return plain(schema, { is, range: `whole, ${range}` });
}

/** One of some words. */
export function word<const T extends readonly string[]>(words: T, is: string): Field<T[number], T[number]> {
  const schema = withMeta(z.enum(words as unknown as [string, ...string[]]), { description: `${is}.` });
  return plain(schema as unknown as Schema<T[number]>, { is, words });
}

/** The name of a model, by which its block is known. */
export function model<const T extends string>(name: T): Field<T, T> {
  const is = 'Name of the model';
  const schema = withMeta(z.literal(name), { description: `${is}.` });
  return plain(schema as unknown as Schema<T>, { is, words: [name] });
}
