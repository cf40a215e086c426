import * as z from 'zod/mini';
import type { QuantityKind } from '../../units/quantity-kind.ts';
import { type BuildContext, BY_DEFAULT } from './build-context.ts';
import type { Complain } from './leaf.ts';
import type { JsonSchema } from './leaf-schema.ts';

/*
 * The small build of zod: its schemas carry no methods, whose making would be a quarter of the time that a check of one
 * recipe takes.
 */

/** Reads plain data as a value of the type. */
export type Schema<T> = z.core.$ZodType<T, unknown>;

/**
 * Everything there is to know of a key of the format, in one place: how it is read, what it becomes in the recipe, and what is
 * said of it in the JSON Schema, the table of the format and a starter recipe.
 */
export interface Field<Read, Made> {
  /** Reads plain data; quantities come out as leaves in SI, what is wrong as issues. */
  readonly schema: Schema<Read>;
  /** What stands in the recipe for what was read at a path. */
  readonly make: (read: Read, path: string, context: BuildContext) => Made;
  readonly about: About;
}

export interface About {
  /** What it is, without a full stop. */
  readonly is: string;
  /** What it measures; several for the columns of a table. */
  readonly kinds?: readonly QuantityKind[];
  /** What will do, in words: "above zero". */
  readonly range?: string;
  /** The words that will do. */
  readonly words?: readonly string[];
  /** What it is taken to be when it is absent, as one would write it. */
  readonly default?: Written;
  /** What holds when it is absent, where that is no value to be written; '' for nothing in particular. */
  readonly without?: string;
  /** Of a mapping. */
  readonly fields?: Shape;
  /** Of a list. */
  readonly item?: AnyField;
  /** Where it is written in one way or another. */
  readonly options?: readonly AnyField[];
}

/** Data as they would be read from a recipe. */
export type Written = string | number | readonly Written[] | { readonly [key: string]: Written };

// biome-ignore lint/suspicious/noExplicitAny: any field whatever, as read and as made
export type AnyField = Field<any, any>;
export type Shape = Readonly<Record<string, AnyField>>;

/** What a field gives when it has been read. */
export type ReadOf<F extends AnyField> = z.output<F['schema']>;
/** What a field becomes in the recipe. */
export type MadeOf<F extends AnyField> = ReturnType<F['make']>;

/** The schema with what its JSON Schema says of it. */
export function withMeta<S extends z.core.$ZodType>(schema: S, meta: Readonly<Record<string, unknown>>): S {
  z.globalRegistry.add(schema, meta);
  return schema;
}

/** A field that is in the recipe as it was read. */
export function plain<T>(schema: Schema<T>, about: About): Field<T, T> {
  return { schema, make: read => read, about };
}

/** The field with something else made of it. */
export function remade<R, M, N>(
  field: Field<R, M>,
  change: (made: M, path: string) => N,
): Field<R, { readonly [K in keyof N]: N[K] }> {
  return { ...field, make: (read, path, context) => change(field.make(read, path, context), path) };
}

/** A field that may be absent; `without` says what holds then, where that is no value that could be written. */
export function optional<R, M>(field: Field<R, M>, without = ''): Field<R | undefined, M | undefined> {
  return {
    schema: z.optional(field.schema),
    make: (read, path, context) => (read === undefined ? undefined : field.make(read, path, context)),
    about: { ...field.about, without },
  };
}

/** A field that is taken to have a value when it is absent, written as in a recipe. */
export function withDefault<R, M>(field: Field<R, M>, value: Written): Field<R | undefined, M> {
  let known: R | undefined;
  const byDefault = (): R => {
    const { value: read, issues } = runSchema(field.schema, value);
    if (read === undefined || issues.length > 0) throw new TypeError(`${JSON.stringify(value)} cannot be a default`);
    return read;
  };
  return {
    schema: withMeta(z.optional(field.schema), { default: value }),
    make: (read, path, context) => {
      if (read !== undefined) return field.make(read, path, context);
      known ??= byDefault();
      return field.make(known, path, BY_DEFAULT);
    },
    about: { ...field.about, default: value },
  };
}

type Json = JsonSchema | (() => JsonSchema);
type Reader<T> = (input: unknown, issues: RawIssue[]) => T | undefined;

/** A schema of a kind of our own; what it cannot read comes out undefined, with issues. */
interface OwnSchema extends z.core.$ZodType {
  readonly _zod: z.core.$ZodTypeInternals & {
    readonly def: { readonly type: 'custom'; readonly read: Reader<unknown>; readonly json: Json };
  };
}

const OwnSchema = z.core.$constructor<OwnSchema>('OwnSchema', (schema, { type, read, json }) => {
  z.core.$ZodType.init(schema, { type });
  schema._zod.parse = payload => {
    payload.value = read(payload.value, payload.issues);
    return payload;
  };
  schema._zod.toJSONSchema = () => ({ ...(typeof json === 'function' ? json() : json) });
});

/** A schema that reads by itself. */
export function own<T>(description: string, json: Json, read: Reader<T>): Schema<T> {
  return withMeta(new OwnSchema({ type: 'custom', read, json }) as Schema<T>, { description });
}

/** A schema that reads by itself, and complains through zod, so that paths compose. */
export function reading<T>(
  description: string,
  json: Json,
  read: (input: unknown, complain: Complain) => T | null,
): Schema<T> {
  return own(description, json, (input, issues) => {
    const complain: Complain = (path, code, message, help, at = 'value') =>
      issues.push({ code: 'custom', path: [...path], message, params: { code, help, at }, input, continue: true });
    if (input !== undefined) return read(input, complain) ?? undefined;
    complain([], 'key-missing', 'is missing', null);
    return undefined;
  });
}

/** What zod says before it has made messages of it; paths are relative to what was read. */
export type RawIssue = z.core.$ZodRawIssue;

/** As far as the data can be read, and everything that is wrong with them; `parse` would give one or the other. */
export function runSchema<T>(schema: Schema<T>, input: unknown): { value: T | undefined; issues: RawIssue[] } {
  const payload = schema._zod.run({ value: input, issues: [] }, { async: false });
  if (payload instanceof Promise) throw new TypeError('the format has no asynchronous parts');
  return { value: payload.value as T | undefined, issues: payload.issues };
}
