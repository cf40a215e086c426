import * as z from 'zod/mini';
import { choice } from '../../diagnostics/suggestion.ts';
import { kindFacts, type QuantityKind } from '../../units/quantity-kind.ts';
import { foundText, isPlainMap } from '../yaml/plain-data.ts';
import { type Complain, type Leaf, type LeafRule, type Limits, readLeaf } from './leaf.ts';
import { type JsonSchema, leafSchema, pairSchema } from './leaf-schema.ts';

/*
 * The small build of zod: its schemas carry no methods, whose making would be a quarter of the time that a check of one
 * recipe takes.
 */

/** The schema with what its JSON Schema says of it. */
export function described<S extends z.ZodMiniType>(schema: S, description: string): S {
  return withMeta(schema, { description });
}

function withMeta<S extends z.ZodMiniType>(schema: S, meta: Record<string, unknown>): S {
  z.globalRegistry.add(schema, meta);
  return schema;
}

/** A field that reads itself. It complains through zod, so that paths compose; what it cannot read comes out undefined. */
export function field<T>(
  description: string,
  json: JsonSchema | (() => JsonSchema),
  read: (input: unknown, complain: Complain) => T | null,
): z.ZodMiniType<T, unknown> {
  const transform = z.transform((input: unknown, { issues }): T => {
    const complain: Complain = (path, code, message, help, at = 'value') =>
      issues.push({ code: 'custom', path: [...path], message, params: { code, help, at }, input, continue: true });
    if (input === undefined) {
      complain([], 'key-missing', 'is missing', null);
      return undefined as T;
    }
    return (read(input, complain) ?? undefined) as T;
  });
  const schema = withMeta(z.pipe(z.any(), transform), { description, json });
  SELF_READERS.set(schema, input => {
    let sound = input !== undefined;
    const value = read(input, () => {
      sound = false;
    });
    return { value: value ?? undefined, sound };
  });
  return schema;
}

type SelfReader = (input: unknown) => { readonly value: unknown; readonly sound: boolean };

const SELF_READERS = new WeakMap<z.ZodMiniType, SelfReader>();

/** How a field of ours reads an input when nobody asks what is wrong with it; undefined for any other schema. */
export function selfReader(schema: z.ZodMiniType): SelfReader | undefined {
  return SELF_READERS.get(schema);
}

/** Limits that many fields share. */
export const POSITIVE: Limits = { above: 0, says: 'above zero' };
export const NOT_NEGATIVE: Limits = { from: 0, says: 'zero or above' };
export const CONTACT_ANGLE: Limits = { above: 0, below: Math.PI, says: 'between 0 and 180 deg' };

/** A quantity of that kind. */
export function quantity(kind: QuantityKind, description: string, limits?: Limits): z.ZodMiniType<Leaf, unknown> {
  const rule: LeafRule = { kind, limits };
  return field(sentence(description, kind, limits), leafSchema(rule), (input, complain) =>
    readLeaf(input, rule, complain),
  );
}

/** A half-width, with how it is meant. */
export function deviation(kind: QuantityKind, description: string): z.ZodMiniType<Leaf, unknown> {
  const rule: LeafRule = { kind, limits: NOT_NEGATIVE, deviation: true };
  return field(sentence(description, kind, NOT_NEGATIVE), leafSchema(rule), (input, complain) =>
    readLeaf(input, rule, complain),
  );
}

function sentence(description: string, kind: QuantityKind, limits?: Limits): string {
  const { name, units } = kindFacts(kind);
  const how = units.length === 0 ? name : `${name}: ${choice(units)}`;
  return `${description} (${how}${limits === undefined ? '' : `; ${limits.says}`}).`;
}

/** A cylinder's one diameter, or the two ends of a cone. */
export interface Ends {
  readonly front: Leaf;
  readonly rear: Leaf;
  readonly cone: boolean;
}

/** A length, or `[front, rear]`. */
export function ends(description: string): z.ZodMiniType<Ends, unknown> {
  const rule: LeafRule = { kind: 'length', limits: POSITIVE };
  const json: JsonSchema = { anyOf: [leafSchema(rule), pairSchema(rule, rule)] };
  return field(`${description} (a length, or [front, rear] of a cone).`, json, (input, complain) => {
    if (Array.isArray(input)) {
      const pair = readPair(input, rule, rule, complain);
      return pair === null ? null : { front: pair[0], rear: pair[1], cone: true };
    }
    const one = readLeaf(input, rule, complain);
    return one === null ? null : { front: one, rear: one, cone: false };
  });
}

/** `[from, to]`. */
export function range(kind: QuantityKind, description: string, limits?: Limits): z.ZodMiniType<[Leaf, Leaf], unknown> {
  const rule: LeafRule = { kind, limits };
  return field(sentence(description, kind, limits), pairSchema(rule, rule), (input, complain) =>
    readPair(input, rule, rule, complain),
  );
}

function readPair(input: unknown, first: LeafRule, second: LeafRule, complain: Complain): [Leaf, Leaf] | null {
  const names = [kindFacts(first.kind).name, kindFacts(second.kind).name];
  if (!Array.isArray(input) || input.length !== 2) {
    const found = Array.isArray(input) ? `a list of ${input.length}` : foundText(input);
    complain([], 'value-type', `found ${found}, expected a pair [${names.join(', ')}]`, null);
    return null;
  }
  const inside =
    (step: number): Complain =>
    (path, ...rest) =>
      complain([step, ...path], ...rest);
  const a = readLeaf(input[0], first, inside(0));
  const b = readLeaf(input[1], second, inside(1));
  return a === null || b === null ? null : [a, b];
}

/** A table of pairs whose first column increases. */
export function points(
  description: string,
  first: LeafRule,
  second: LeafRule,
  least = 2,
): z.ZodMiniType<(readonly [Leaf, Leaf])[], unknown> {
  const json: JsonSchema = { type: 'array', minItems: least, items: pairSchema(first, second) };
  return field(description, json, (input, complain) => {
    if (!Array.isArray(input) || input.length < least) {
      const found = Array.isArray(input) ? `a list of ${input.length}` : foundText(input);
      complain([], 'value-type', `found ${found}, expected a list of at least ${least} pairs`, null);
      return null;
    }
    const rows = input.map((row, i) =>
      readPair(row, first, second, (path, ...rest) => complain([i, ...path], ...rest)),
    );
    for (let i = 1; i < rows.length; i++) {
      const [before, here] = [rows[i - 1], rows[i]];
      if (before && here && here[0].value <= before[0].value) {
        complain([i, 0], 'order-wrong', 'the first column must increase from point to point', 'sort the points');
      }
    }
    return rows.some(row => row === null) ? null : (rows as [Leaf, Leaf][]);
  });
}

// biome-ignore lint/suspicious/noControlCharactersInRegex: these are what is refused
const CONTROL = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\u007f-\u009f]/;

/** One line or more of free text, without characters that a terminal would obey. */
export function text(description: string): z.ZodMiniType<string, unknown> {
  return field(description, { type: 'string', minLength: 1 }, (input, complain) => {
    if (typeof input === 'string' && CONTROL.test(input)) {
      complain([], 'value-type', 'the text has a control character in it', 'remove it');
      return null;
    }
    if (typeof input === 'string' && input.trim() !== '') return input;
    const help = typeof input === 'number' || typeof input === 'boolean' ? `write it in quotes: "${input}"` : null;
    complain([], 'value-type', `found ${foundText(input)}, expected a text`, help);
    return null;
  });
}

/** A whole number from `least` on. */
export function count(description: string, least = 1): z.ZodMiniType<number, unknown> {
  return field(description, { type: 'integer', minimum: least }, (input, complain) => {
    if (typeof input === 'number' && Number.isSafeInteger(input) && input >= least) return input;
    const code = typeof input === 'number' ? 'value-range' : 'value-type';
    complain([], code, `found ${foundText(input)}, expected a whole number from ${least} on`, null);
    return null;
  });
}

/** One of some words. */
export function word<const T extends readonly string[]>(
  words: T,
  description: string,
): z.ZodMiniType<T[number], unknown> {
  return described(z.enum(words as unknown as [string, ...string[]]), description) as unknown as z.ZodMiniType<
    T[number],
    unknown
  >;
}

type Shape = Record<string, z.ZodMiniType>;

const REMARKS = { name: z.optional(text('A name for people.')), notes: z.optional(text('Free text.')) };

/** A mapping with these keys and no others, beside a name and notes. */
export function block<S extends Shape>(shape: S, description: string) {
  return described(z.strictObject({ ...REMARKS, ...shape }), description);
}

/** What zod says before it has made messages of it; paths are relative to what was read. */
export type RawIssue = z.core.$ZodRawIssue;

/** As far as the data can be read, and everything that is wrong with them; `parse` would give one or the other. */
export function runSchema<T>(schema: z.ZodMiniType<T>, input: unknown): { value: T | undefined; issues: RawIssue[] } {
  const payload = schema._zod.run({ value: input, issues: [] }, { async: false });
  if (payload instanceof Promise) throw new TypeError('the format has no asynchronous parts');
  return { value: payload.value as T | undefined, issues: payload.issues };
}

/** Reads with one schema or another, chosen by looking at the input; zod's own unions lose the places of what is wrong. */
export function chosen<T>(
  description: string,
  json: () => JsonSchema,
  choose: (input: unknown) => Choice<T>,
): z.ZodMiniType<T, unknown> {
  const transform = z.transform((input: unknown, context): T => {
    const { schema: one, made } = choose(input);
    const { value, issues } = runSchema(one, input);
    context.issues.push(...issues);
    return (value === undefined ? value : made(value)) as T;
  });
  const schema = withMeta(z.pipe(z.any(), transform), { description, json });
  CHOICES.set(schema, choose);
  return schema;
}

/** The schema for an input, and what is made of what it reads. */
export interface Choice<T> {
  readonly schema: z.ZodMiniType;
  readonly made: (value: unknown) => T;
}

const CHOICES = new WeakMap<z.ZodMiniType, (input: unknown) => Choice<unknown>>();

/** How a schema of {@link chosen} chooses; undefined for any other schema. */
export function choiceOf(schema: z.ZodMiniType): ((input: unknown) => Choice<unknown>) | undefined {
  return CHOICES.get(schema);
}

/** True for something that is a mapping with that key. */
export function hasKey(input: unknown, key: string): boolean {
  return isPlainMap(input) && input[key] !== undefined;
}
