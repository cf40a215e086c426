import { jsonOf } from '../schema/json-of.ts';
import { type JsonSchema, leafDefinitions } from '../schema/leaf-schema.ts';
import { recipe } from '../schema/recipe-schema.ts';

/**
 * JSON Schema (draft-07) of recipe format 1, for editors and validators. It holds keys, notation and plain ranges; what a
 * unit measures, and what lies in the files of `from`, only the loader knows. A block that starts `from` another file may
 * lack keys, and so may every block in it.
 */
export function recipeJsonSchema(): JsonSchema {
  const whole = jsonOf(recipe.schema);
  const partial = adapted(whole, { complete: false, pointer: PARTIAL });
  const complete = adapted(whole, { complete: true, pointer: PARTIAL });
  return {
    $schema: 'http://json-schema.org/draft-07/schema#',
    title: 'Recipe',
    ...complete,
    definitions: { ...usedLeaves({ ...complete, partial }), partial },
  };
}

/** Definitions of the quantities that the schema refers to. */
function usedLeaves(schema: JsonSchema): JsonSchema {
  const text = JSON.stringify(schema);
  return Object.fromEntries(
    Object.entries(leafDefinitions()).filter(([name]) => text.includes(`definitions/${name}"`)),
  );
}

const PARTIAL = '#/definitions/partial';

interface Mode {
  /** Required keys are required unless the block says `from`. */
  readonly complete: boolean;
  /** Where the same schema without required keys stands. */
  readonly pointer: string;
}

const FROM: JsonSchema = {
  anyOf: [{ type: 'string' }, { type: 'null' }],
  description: 'File that the block starts from; the keys beside it override it, deeply.',
};

function adapted(schema: JsonSchema, mode: Mode): JsonSchema {
  const out: JsonSchema = {};
  for (const [key, value] of Object.entries(schema)) {
    // One of several models fits when its name is not in the file: then more than one may.
    const name = key === 'oneOf' ? 'anyOf' : key;
    const pointer = `${mode.pointer}/${name}`;
    if (key === 'properties') continue;
    if (key === 'leaf') {
      out['$ref'] = `#/definitions/${value}`;
      continue;
    }
    out[name] = Array.isArray(value)
      ? value.map((item, i) => (isSchema(item) ? adapted(item, { ...mode, pointer: `${pointer}/${i}` }) : item))
      : isSchema(value)
        ? adapted(value, { ...mode, pointer })
        : value;
  }
  return isSchema(schema['properties']) ? withProperties(schema['properties'], out, mode) : out;
}

function withProperties(properties: JsonSchema, out: JsonSchema, mode: Mode): JsonSchema {
  const all: JsonSchema = {};
  for (const [key, value] of Object.entries(properties)) {
    const pointer = `${mode.pointer}/properties/${key}`;
    const { description, default: byDefault, ...plain } = value as JsonSchema;
    const inner = adapted(plain, { ...mode, pointer: `${pointer}/anyOf/0` });
    // A null removes a key or counts as absent.
    all[key] = {
      ...(description !== undefined && { description }),
      ...(byDefault !== undefined && { default: byDefault }),
      anyOf: [inner, { type: 'null' }],
    };
  }
  const { required = [], ...rest } = out;
  const strict: JsonSchema = { ...rest, properties: { ...all, from: FROM } };
  if (!mode.complete) return strict;
  const keys = required as string[];
  const present = Object.fromEntries(keys.map(key => [key, { not: { type: 'null' } }]));
  return {
    if: { type: 'object', required: ['from'], properties: { from: { type: 'string' } } },
    // biome-ignore lint/suspicious/noThenProperty: the keyword of JSON Schema
    then: { $ref: mode.pointer },
    else: keys.length === 0 ? strict : { ...strict, required: keys, allOf: [{ type: 'object', properties: present }] },
  };
}

function isSchema(value: unknown): value is JsonSchema {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}
