import * as z from 'zod/mini';
import type { JsonSchema } from './leaf-schema.ts';

/** Draft-07 JSON Schema of what may be written; fields that read themselves bring their own. */
export function jsonOf(schema: z.ZodMiniType): JsonSchema {
  const made = z.toJSONSchema(schema, {
    target: 'draft-7',
    io: 'input',
    override: ({ jsonSchema }) => {
      const own = (jsonSchema as JsonSchema)['json'];
      if (own === undefined) return;
      delete (jsonSchema as JsonSchema)['json'];
      Object.assign(jsonSchema, typeof own === 'function' ? own() : own);
    },
  }) as JsonSchema;
  delete made['$schema'];
  return made;
}
