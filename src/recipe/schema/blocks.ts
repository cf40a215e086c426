import * as z from 'zod/mini';
import { isPlainMap, withoutNulls } from '../yaml/plain-data.ts';
import {
  type AnyField,
  type Field,
  type MadeOf,
  own,
  type ReadOf,
  runSchema,
  type Schema,
  type Shape,
  withMeta,
} from './field.ts';
import { text } from './fields.ts';
import { jsonOf } from './json-of.ts';
import { noteTaken, type Taken, writtenText } from './taken.ts';

/** The mapping in which what may be undefined may be absent. */
type Absent<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};
type Flat<T> = { [K in keyof T]: T[K] };
type ReadBlock<S extends Shape> = Flat<Absent<{ readonly [K in keyof S]: ReadOf<S[K]> }>>;
type MadeBlock<S extends Shape> = Flat<Absent<{ readonly [K in keyof S]: MadeOf<S[K]> }>>;

/** Any block may have them; what is built of it has them where its own keys say so. */
const REMARKS = { name: z.optional(text('A name for people').schema), notes: z.optional(text('Free text').schema) };

/** Null removes what a part gave, so a key that is null is absent; a key that is not known is no key, whatever its value. */
const Mapping = z.core.$constructor<z.core.$ZodObject>('Mapping', (schema, definition) => {
  z.core.$ZodObject.init(schema, definition);
  const { parse } = schema._zod;
  schema._zod.parse = (payload, context) => {
    if (isPlainMap(payload.value)) payload.value = withoutNulls(payload.value, definition.shape);
    return parse(payload, context);
  };
});

/** A mapping with these keys and no others, beside a name and notes. */
export function block<S extends Shape>(fields: S, is: string): Field<ReadBlock<S>, MadeBlock<S>> {
  const entries = Object.entries(fields);
  const shape = { ...REMARKS, ...Object.fromEntries(entries.map(([key, { schema }]) => [key, schema])) };
  const schema = new Mapping({ type: 'object', shape, catchall: z.never() });
  return {
    schema: withMeta(schema, { description: `${is}.` }) as unknown as Schema<ReadBlock<S>>,
    make: (read, path, context) => {
      const made: Record<string, unknown> = {};
      const taken: Taken[] = [];
      for (const [key, { make, about }] of entries) {
        const given = read[key as keyof typeof read];
        if (given === undefined && about.default === undefined) continue;
        const at = path === '' ? key : `${path}.${key}`;
        const value = make(given, at, context);
        if (value !== undefined) made[key] = value;
        const written = given === undefined ? writtenText(about.default!) : null;
        if (written !== null) taken.push({ path: at, written });
      }
      noteTaken(made, taken);
      return made as MadeBlock<S>;
    },
    about: { is, fields },
  };
}

/** A list of at least so many items. */
export function list<R, M>(item: Field<R, M>, is: string, least = 1): Field<readonly R[], readonly M[]> {
  const schema = z.array(item.schema);
  return {
    schema: withMeta(least === 0 ? schema : schema.check(z.minLength(least)), { description: `${is}.` }),
    make: (read, path, context) => read.map((one, i) => item.make(one, `${path}[${i}]`, context)),
    about: { is, item },
  };
}

/** A block that is one of several, told by its `model`. */
export function models<const F extends readonly AnyField[]>(
  options: F,
  is: string,
): Field<ReadOf<F[number]>, MadeOf<F[number]>> {
  const byName = new Map(options.map(option => [option.about.fields!['model']!.about.words![0]!, option]));
  type Options = Parameters<typeof z.discriminatedUnion>[1];
  return {
    schema: withMeta(z.discriminatedUnion('model', options.map(({ schema }) => schema) as unknown as Options), {
      description: `${is}.`,
    }) as Schema<ReadOf<F[number]>>,
    make: (read, path, context) => byName.get((read as { model: string }).model)!.make(read, path, context),
    about: { is, options },
  };
}

/** What was read by one field or the other. */
export type Either<A, B> = { readonly first: A } | { readonly second: B };

/** Reads by one field or another, chosen by looking at the input; zod's own unions lose the places of what is wrong. */
export function either<A, MA, B, MB>(
  first: Field<A, MA>,
  second: Field<B, MB>,
  how: { readonly isFirst: (input: unknown) => boolean; readonly is: string },
): Field<Either<A, B>, MA | MB> {
  const json = () => ({ anyOf: [jsonOf(first.schema), jsonOf(second.schema)] });
  const schema = own<Either<A, B>>(`${how.is}.`, json, (input, issues) => {
    const isFirst = how.isFirst(input);
    const { value, issues: found } = runSchema<unknown>(isFirst ? first.schema : second.schema, input);
    issues.push(...found);
    return value === undefined ? undefined : ((isFirst ? { first: value } : { second: value }) as Either<A, B>);
  });
  return {
    schema,
    make: (read, path, context) =>
      'first' in read ? first.make(read.first, path, context) : second.make(read.second, path, context),
    about: { is: how.is, kinds: first.about.kinds ?? [], options: [first, second] },
  };
}

/** True for something that is a mapping with that key. */
export function hasKey(input: unknown, key: string): boolean {
  return isPlainMap(input) && (input[key] ?? null) !== null;
}
